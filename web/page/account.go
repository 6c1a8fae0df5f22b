package page

import (
	"cmp"
	"net/url"
	"strings"
	"time"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// ClaimForm is what makes someone the owner, as typed. The password is never shown again.
type ClaimForm struct {
	Code     string
	Password string
	Zone     string
	Currency string
	Errors   garage.FieldErrors
}

// ReadClaimForm is the form as sent.
func ReadClaimForm(v url.Values) ClaimForm {
	return ClaimForm{Code: v.Get("code"), Password: v.Get("password"), Zone: v.Get("zone"), Currency: v.Get("currency")}
}

// Settings are the stored ones with the zone and currency typed; Errors says what does not hold.
func (f *ClaimForm) Settings(stored garage.Settings) garage.Settings {
	stored.Zone = strings.TrimSpace(f.Zone)
	stored.Currency = strings.ToUpper(strings.TrimSpace(f.Currency))
	var in fields
	f.Errors.Merge(in.with(stored.Validate()))
	return stored
}

// PasswordHint says what a password needs to be, and that it must be typed again when something else was wrong.
func (f ClaimForm) PasswordHint() string {
	if len(f.Errors) > 0 && f.Errors["password"] == "" {
		return "Type it once more: passwords are not sent back."
	}
	return "At least 8 characters. Four words of your own do well."
}

// ClaimView is the set-up of a garage that nobody owns yet.
type ClaimView struct {
	Base
	Form ClaimForm
}

// SigninForm asks for the password; Back is where it leads to.
type SigninForm struct {
	Back   string
	Errors garage.FieldErrors
}

// SigninView asks for the password.
type SigninView struct {
	Base
	Form SigninForm
}

// EnterView offers to sign in by a link that works once.
type EnterView struct {
	Base
	Token string
}

// PasswordForm changes the password; neither is ever shown again.
type PasswordForm struct {
	Errors garage.FieldErrors
}

// AccountView shows the password's form and the signed-in browsers.
type AccountView struct {
	Base
	Form    PasswordForm
	Signins []SigninRow
}

// SigninRow is one signed-in browser.
type SigninRow struct {
	Browser string
	Details string
	Name    string // of its sign-in in a form
	Current bool   // the one that asks
}

// NewSigninRows tells the signed-in browsers apart; current is the hash of the one that asks.
func NewSigninRows(signins []garage.Signin, current []byte, zone *time.Location) []SigninRow {
	rows := make([]SigninRow, 0, len(signins))
	for _, v := range signins {
		details := "Signed in " + momentText(v.CreatedAt, zone)
		if v.Address != "" {
			details += " from " + v.Address
		}
		rows = append(rows, SigninRow{
			Browser: browserName(v.Agent),
			Details: details + ", last used " + momentText(v.SeenAt, zone) + ".",
			Name:    route.SigninName(v.TokenHash),
			Current: string(v.TokenHash) == string(current),
		})
	}
	return rows
}

// Others says whether there are browsers besides the one that asks.
func (v AccountView) Others() bool { return len(v.Signins) > 1 }

// momentText is an instant as a day and a time in the garage's zone.
func momentText(t time.Time, zone *time.Location) string {
	return t.In(zone).Format("2 Jan 2006, 15:04")
}

// browserName makes a name out of how a browser calls itself. The order matters: most call themselves after others too.
func browserName(agent string) string {
	first := func(marks ...string) string {
		for i := 0; i < len(marks); i += 2 {
			if strings.Contains(agent, marks[i]) {
				return marks[i+1]
			}
		}
		return ""
	}
	browser := first("Edg", "Edge", "OPR/", "Opera", "SamsungBrowser", "Samsung Internet", "Firefox", "Firefox", "FxiOS", "Firefox",
		"CriOS", "Chrome", "Chrome/", "Chrome", "Safari/", "Safari")
	system := first("iPhone", "iPhone", "iPad", "iPad", "Android", "Android", "Windows", "Windows", "Mac OS", "Mac", "CrOS", "ChromeOS",
		"Linux", "Linux")
	switch {
	case browser != "" && system != "":
		return browser + " on " + system
	case browser+system != "":
		return browser + system
	}
	return cmp.Or(shortText(agent, 60), "A browser that gives no name")
}

// shortText cuts a text that would not fit a line.
func shortText(text string, most int) string {
	if runes := []rune(text); len(runes) > most {
		return string(runes[:most-1]) + "…"
	}
	return text
}

var claimLabels = []ui.Option{
	{Value: "code", Text: "Code"},
	{Value: "password", Text: "Password"},
	{Value: "zone", Text: "Time zone"},
	{Value: "currency", Text: "Currency"},
}

// SureForm asks for the password again before something is done; Fields and Action are what was sent for that.
type SureForm struct {
	Action string
	Fields []ui.KeyValue
	Errors garage.FieldErrors
}

// SureView asks for the password again.
type SureView struct {
	Base
	Form SureForm
}

var sureLabels = []ui.Option{{Value: "present_password", Text: "Password"}}
