package guard

import (
	"net/http"
	"time"

	"github.com/labstack/echo/v4"
)

// Cookie is the cookie of a browser that is signed in. Secure says whether browsers come by HTTPS.
type Cookie struct{ Secure bool }

// name has the prefix by which a browser makes sure, behind HTTPS, that no other host and no plain page has set it (RFC
// 6265bis).
func (k Cookie) name() string {
	if k.Secure {
		return "__Host-evenpull-session"
	}
	return "evenpull-session"
}

// Read is the token in the cookie, empty where there is none.
func (k Cookie) Read(r *http.Request) string {
	found, err := r.Cookie(k.name())
	if err != nil {
		return ""
	}
	return found.Value
}

// Set gives the cookie to a browser for some time; an empty token takes it away.
func (k Cookie) Set(c echo.Context, token string, lasts time.Duration) {
	seconds := int(lasts.Seconds())
	if token == "" || seconds <= 0 {
		seconds = -1
	}
	c.SetCookie(&http.Cookie{
		Name: k.name(), Value: token, Path: "/", MaxAge: seconds, HttpOnly: true, Secure: k.Secure,
		SameSite: http.SameSiteStrictMode,
	})
}
