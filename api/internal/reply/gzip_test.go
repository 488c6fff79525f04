package reply

import (
	"net/http"
	"strings"
	"testing"
)

func FuzzAcceptEncoding(f *testing.F) {
	for _, seed := range []string{"", "*", "gzip", "GZIP ; Q=1", "br, gzip;q=0.5", "gzip;q=NaN", "*;q=Inf,gzip;q=1e999",
		"gzip;q=-1", ";q=1", ",,", "gzip;q=0,*"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, value string) {
		lower := strings.ToLower(value)
		if TakesGzip(http.Header{"Accept-Encoding": {value}}) && !strings.Contains(lower, "gzip") &&
			!strings.Contains(value, "*") {
			t.Fatalf("%q gets gzip", value)
		}
		if !strings.Contains(value, `"`) && TakesGzip(http.Header{"Accept-Encoding": {value, "gzip;q=0"}}) {
			t.Fatalf("%q gets the gzip that it refuses", value)
		}
	})
}
