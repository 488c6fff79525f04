package main

import (
	"net/http"

	"github.com/labstack/echo/v4"
)

const mediaKey = "media type"

// jsonOrCSV marks a route that answers as JSON or as CSV, whichever the Accept header wants more, and refuses who wants
// neither. what names what is answered.
func jsonOrCSV(what string) echo.MiddlewareFunc {
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		return func(c echo.Context) error {
			media := negotiate(c.Request().Header, typeJSON, typeCSV)
			if media == "" {
				return refuse(http.StatusNotAcceptable, "%s comes as %s or %s; the Accept header wants neither", what, typeJSON, typeCSV)
			}
			c.Set(mediaKey, media)
			return next(c)
		}
	}
}

// mediaChosen is the type that jsonOrCSV has chosen, empty on a route without a choice.
func mediaChosen(c echo.Context) string {
	media, _ := c.Get(mediaKey).(string)
	return media
}

func wantsCSV(c echo.Context) bool { return mediaChosen(c) == typeCSV }
