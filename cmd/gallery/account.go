package main

import (
	"strings"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/web/page"
	"axlestand/web/ui"

	"github.com/a-h/templ"
)

func init() {
	register("account",
		Entry{Name: "claim", Page: func(b ui.Page) templ.Component { return claim(b, page.ClaimForm{Zone: "UTC", Currency: "EUR"}) }},
		Entry{Name: "claim-wrong", Page: func(b ui.Page) templ.Component {
			return claim(b, page.ClaimForm{Code: "ABCD-EFGH-IJKL", Zone: "Atlantis", Currency: "Euro", Errors: garage.FieldErrors{
				"code":     "That is not the code, or its hour is over. The one printed last counts; a restart prints a new one.",
				"password": "Too many people use that one, so it is guessed first. Choose another: four words of your own do well.",
				"zone":     "Not a known time zone. Write it like Europe/Vienna.",
				"currency": "Three capital letters, like EUR.",
			}})
		}},
		Entry{Name: "signin", Page: func(b ui.Page) templ.Component { return signin(b, page.SigninForm{Back: "/"}) }},
		Entry{Name: "signin-wrong", Page: func(b ui.Page) templ.Component {
			return signin(b, page.SigninForm{Back: "/", Errors: garage.FieldErrors{"password": "That is not the password."}})
		}},
		Entry{Name: "enter", Page: func(b ui.Page) templ.Component {
			b.Title, b.Bare = "Open the garage", true
			return page.Enter(page.EnterView{Base: page.Base{Page: b}, Token: "sample"})
		}},
		Entry{Name: "account", Page: func(b ui.Page) templ.Component { return account(b, page.PasswordForm{}, garagetest.Signin()) }},
		Entry{Name: "account-many", Page: func(b ui.Page) templ.Component {
			all := []garage.Signin{garagetest.Signin()}
			for i := range 40 {
				all = append(all, garagetest.Signin(func(v *garage.Signin) { v.TokenHash = []byte{byte(i)}; v.Agent = strings.Repeat("Widget/1 ", i) }))
			}
			return account(b, page.PasswordForm{}, all...)
		}},
		Entry{Name: "account-wrong", Page: func(b ui.Page) templ.Component {
			return account(b, page.PasswordForm{Errors: garage.FieldErrors{
				"current": "That is not the present password.", "password": "At least 8 characters.",
			}}, garagetest.Signin())
		}},
		Entry{Name: "sure", Page: func(b ui.Page) templ.Component {
			b.Title, b.Active = "Your password once more", ui.NavMore
			return page.Sure(page.SureView{Base: page.Base{Page: b}, Form: page.SureForm{
				Action: "/links", Fields: []ui.KeyValue{{Name: "name", Value: "Neighbour"}}, Errors: garage.FieldErrors{"present_password": "That is not the password."},
			}})
		}},
		Entry{Name: "more", Page: func(b ui.Page) templ.Component {
			b.Title, b.Active = "More", ui.NavMore
			return page.More(page.MoreView{Base: page.Base{Page: b}})
		}},
	)
}

func claim(b ui.Page, form page.ClaimForm) templ.Component {
	b.Title, b.Bare = "Set up", true
	return page.Claim(page.ClaimView{Base: page.Base{Page: b}, Form: form})
}

func signin(b ui.Page, form page.SigninForm) templ.Component {
	b.Title, b.Bare = "Sign in", true
	return page.Signin(page.SigninView{Base: page.Base{Page: b}, Form: form})
}

// account shows the browsers as seen by the first of them.
func account(b ui.Page, form page.PasswordForm, signins ...garage.Signin) templ.Component {
	b.Title, b.Active = "Password and browsers", ui.NavMore
	return page.Account(page.AccountView{
		Base: page.Base{Page: b}, Form: form, Signins: page.NewSigninRows(signins, signins[0].TokenHash, time.UTC),
	})
}
