package main

import (
	"errors"
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/contract"
	"evenpull/api/internal/guard"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// GetSession says who asks: a browser that is signed in, the holder of a key, or nobody.
func (s *server) GetSession(c echo.Context) error {
	who, err := s.keys.Of(c)
	if err != nil && !errors.Is(err, guard.ErrSignedOut) {
		return err
	}
	return s.sendSession(c, who)
}

// SignIn gives a browser a cookie in place of a key, or of a sign-in link, which is spent with it.
func (s *server) SignIn(c echo.Context) error {
	input, err := contract.Decode[openapi.SignIn](c)
	if err != nil {
		return err
	}
	if (input.Key == nil) == (input.Link == nil) {
		return fleet.InvalidField("key", "send either a key or the secret of a sign-in link")
	}
	who, spend, err := s.credentialOf(c, input)
	if err != nil {
		return err
	}
	ctx := c.Request().Context()
	signedIn := &guard.Holder{Actor: who, ByCookie: true}
	var token string
	err = s.timed(ctx, who, s.book.Write, func(w *book.Writer) (err error) {
		if err := spend(w); err != nil {
			return err
		}
		token, signedIn.Expires, err = w.OpenSession(who, s.keys.MarkOf(who))
		return err
	})
	if err != nil {
		return err
	}
	if before := s.keys.Cookie.Read(c.Request()); before != "" {
		if err := s.book.EndSession(ctx, before); err != nil { // it ends by itself, later
			s.log.WarnContext(ctx, "an earlier session of the same browser was not ended", "error", err)
		}
	}
	s.keys.Cookie.Set(c, token, signedIn.Expires.Sub(s.now()))
	return s.sendSession(c, signedIn)
}

// credentialOf finds who signs in, and what has to be done for it in the transaction that opens the session: a link is
// spent there, so that of two browsers that come at once with the same one gets in.
func (s *server) credentialOf(c echo.Context, input openapi.SignIn) (
	who fleet.Actor, spend func(*book.Writer) error, err error,
) {
	if input.Key != nil {
		who, err = s.keys.OfKey(c, strings.TrimSpace(*input.Key))
		return who, func(*book.Writer) error { return nil }, err
	}
	who, err = s.keys.OfLink(c, *input.Link)
	return who, func(w *book.Writer) error {
		_, ok, err := w.SpendSignInLink(*input.Link)
		if err == nil && !ok {
			err = s.keys.WrongLink(c)
		}
		return err
	}, err
}

// SignOut ends the session and takes the cookie back. A private installation has the browser forget the answers that it
// keeps, too, from which Back would show them again (W3C Clear Site Data, for HTTPS and this machine alone).
func (s *server) SignOut(c echo.Context) error {
	if token := s.keys.Cookie.Read(c.Request()); token != "" {
		if err := s.book.EndSession(c.Request().Context(), token); err != nil {
			return err
		}
	}
	s.keys.Cookie.Set(c, "", 0)
	if s.private {
		c.Response().Header().Set("Clear-Site-Data", `"cache"`)
	}
	c.Response().Header().Set(echo.HeaderCacheControl, "no-store")
	return c.NoContent(http.StatusNoContent)
}

func (s *server) sendSession(c echo.Context, who *guard.Holder) error {
	answer := openapi.Session{Private: s.private}
	if who != nil {
		answer.SignedIn, answer.Name, answer.Role = true, &who.Name, new(openapi.Role(who.Role))
		if who.ByCookie {
			answer.ExpiresAt = new(who.Expires.UTC())
		}
	}
	c.Response().Header().Set(echo.HeaderCacheControl, "no-store")
	return c.JSON(http.StatusOK, answer)
}
