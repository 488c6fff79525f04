package main

import (
	"encoding/json"
	"errors"

	"github.com/labstack/echo/v4"

	"evenpull/internal/book"
	"evenpull/internal/fleet"
)

// trial finds what the book has against a body that its schema refuses already, so that all faults come at once.
type trial func(c echo.Context, body any) ([]fleet.Fault, error)

const trialKey = "trial"

// errTakenBack undoes a write that was only tried.
var errTakenBack = errors.New("carried out only to see what is wrong with it")

// alsoTry makes check look further before it refuses a body: the write is carried out with as much of the body as can be
// read, and taken back. A body that its schema takes is not tried: the handler carries it out.
func alsoTry[T any](b *book.Book, carryOut func(w *book.Writer, path parameters, input T) error) echo.MiddlewareFunc {
	try := func(c echo.Context, body any) ([]fleet.Fault, error) {
		var input T
		_ = readInto(&input, body) // as much as can be read; the schema has named the rest
		err := b.Write(c.Request().Context(), actorOf(c), func(w *book.Writer) error {
			if err := carryOut(w, parametersOf(c), input); err != nil {
				return err
			}
			return errTakenBack
		})
		var refused *fleet.Error
		switch {
		case errors.Is(err, errTakenBack):
			return nil, nil
		case !errors.As(err, &refused):
			return nil, err
		}
		switch refused.Kind {
		case fleet.Invalid:
			return refused.Faults, nil
		case fleet.Conflict: // of a body that is to be put right first
			return nil, nil
		}
		return nil, err
	}
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		return func(c echo.Context) error {
			c.Set(trialKey, trial(try))
			return next(c)
		}
	}
}

// parameters gives a parameter of the path by its name.
type parameters func(name string) string

func parametersOf(c echo.Context) parameters {
	return func(name string) string {
		value, _ := pathParameter(c, name) // the path was checked before
		return value
	}
}

// inAnyState takes the place of an If-Match where a write is only tried.
func inAnyState[T any](T) error { return nil }

// readInto reads a checked JSON value into the type generated for it. What can be read is, where an error is returned too.
func readInto(into, value any) error {
	text, err := json.Marshal(value) // a whole number that came as 1.0 or 1e0 is now written 1
	if err != nil {
		return err
	}
	return json.Unmarshal(text, into)
}
