package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The words of the headers are those of their standards: CSP (W3C), Permissions Policy (W3C), RFC 6797, Fetch (WHATWG).
func TestHeaders_SayWhatBrowsersMustNotDo(t *testing.T) {
	t.Parallel()
	plain, secure := serving(t, nil), serving(t, func(o *serverOptions) { o.Secure = true })
	for _, r := range []request{
		get("/"), get("/assets/frame/base.css"), get("/v1/sleds"), get("/nothing"), get("/metrics"), post("/v1/sleds",
			"{"), post("/v1/sleds", "{}").nobody(),
		{method: "OPTIONS", path: "/v1/sleds"},
	} {
		for _, p := range []*program{plain, secure} {
			h := p.do(r).Header
			assert.Equal(t, "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src "+
				"'self'; manifest-src 'self'; "+
				"base-uri 'none'; form-action 'self'; frame-ancestors 'none'", h.Get("Content-Security-Policy"), r.path)
			for _, device := range []string{"camera=()", "microphone=()", "geolocation=()", "usb=()", "payment=()"} {
				assert.Contains(t, h.Get("Permissions-Policy"), device, r.path)
			}
			assert.Equal(t, "nosniff", h.Get("X-Content-Type-Options"), r.path)
			assert.Equal(t, "no-referrer", h.Get("Referrer-Policy"), r.path)
			assert.Equal(t, "same-origin", h.Get("Cross-Origin-Opener-Policy"), r.path)
			assert.Equal(t, "same-origin", h.Get("Cross-Origin-Resource-Policy"), r.path)
			assert.Empty(t, h.Get("Server"), r.path)
			assert.Empty(t, h.Get("X-Powered-By"), r.path)
			if p == secure {
				assert.Equal(t, "max-age=31536000", h.Get("Strict-Transport-Security"), r.path)
			} else {
				assert.Empty(t, h.Values("Strict-Transport-Security"),
					"%s: over plain HTTP it must not be sent (RFC 6797, section 7.2)", r.path)
			}
		}
	}
}
