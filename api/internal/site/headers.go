package site

import (
	"maps"
	"net/http"

	"github.com/labstack/echo/v4"
)

// What browsers must not do with these pages: run or load anything that is not ours, show them in another page's frame,
// reach for a device, tell others where a reader came from.
const (
	contentPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; " +
		"manifest-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
	devicePolicy = "accelerometer=(), browsing-topics=(), camera=(), display-capture=(), geolocation=(), " +
		"gyroscope=(), magnetometer=(), " +
		"microphone=(), midi=(), payment=(), usb=()"
	// httpsOnly holds for a year after each visit. Our own choice; other hosts of the same domain are not ours to speak
	// for.
	httpsOnly = "max-age=31536000"
)

// Secured sets the headers that say so. secure is whether browsers come by HTTPS.
func Secured(secure bool) echo.MiddlewareFunc {
	said := http.Header{
		"Content-Security-Policy": {contentPolicy}, "Permissions-Policy": {devicePolicy},
		"X-Content-Type-Options": {"nosniff"},
		"Referrer-Policy":        {"no-referrer"}, "Cross-Origin-Opener-Policy": {"same-origin"},
		"Cross-Origin-Resource-Policy": {"same-origin"},
	}
	if secure {
		said["Strict-Transport-Security"] = []string{httpsOnly}
	}
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		return func(c echo.Context) error {
			// the values are shared: whoever sets another one puts it in their place
			maps.Copy(c.Response().Header(), said)
			return next(c)
		}
	}
}
