package main

import (
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
	"evenpull/internal/book"
	"evenpull/internal/plotting"
	"evenpull/openapi"
)

// AddSignInLink makes a link that signs one browser in with a key, and its QR code for a phone's camera. The answer is
// the only one that ever shows it, so nobody may keep it on the way.
func (s *server) AddSignInLink(c echo.Context, id string) error {
	if s.publicURL == "" {
		return errNoPublicURL()
	}
	c.Response().Header().Set(echo.HeaderCacheControl, "no-store")
	return s.write(c, func(w *book.Writer) (reply.Answer, error) {
		secret, expires, err := w.NewSignInLink(id)
		if err != nil {
			return reply.Answer{}, err
		}
		link := signInURL(s.publicURL, secret)
		code, err := plotting.NewQR(link)
		if err != nil {
			return reply.Answer{}, err
		}
		return reply.Done(http.StatusCreated, openapi.SignInLink{Link: link, ExpiresAt: expires.UTC(),
			Qr: openapi.QRCode{Modules: code.Modules, Path: code.Path}})
	})
}

// signInURL is the link with a secret, in the fragment, which no browser sends to a server.
func signInURL(base, secret string) string {
	return strings.TrimRight(base, "/") + "/sign-in#" + secret
}
