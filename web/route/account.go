package route

import (
	"encoding/hex"
	"net/url"
)

// Claim is the set-up of a garage that nobody owns yet.
func Claim() string { return "/claim" }

// Signin asks for the password.
func Signin() string { return "/signin" }

// SigninBack asks for the password and then leads back to a page.
func SigninBack(path string) string {
	if path == "" || path == Today() {
		return Signin()
	}
	return Signin() + "?back=" + url.QueryEscape(path)
}

// Signout ends this browser's sign-in by POST.
func Signout() string { return "/signout" }

// Enter signs in by a link that works once: a page with a button by GET, the sign-in by POST.
func Enter(token string) string { return "/enter?token=" + url.QueryEscape(token) }

// EnterPost takes the token of [Enter].
func EnterPost() string { return "/enter" }

// Account shows the password's form and the signed-in browsers.
func Account() string { return "/account" }

// AccountPassword changes the password by POST.
func AccountPassword() string { return "/account/password" }

// SigninDelete ends another browser's sign-in by POST, with the value of [SigninName] in the field signin.
func SigninDelete() string { return "/account/signins/delete" }

// SigninDeleteOthers ends all sign-ins but this browser's by POST.
func SigninDeleteOthers() string { return "/account/signins/delete-others" }

// SigninName names a sign-in in a form: the hash of its token, from which the token cannot be found.
func SigninName(tokenHash []byte) string { return hex.EncodeToString(tokenHash) }
