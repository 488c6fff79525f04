package guard

import (
	"strings"
	"testing"
)

func FuzzBearer(f *testing.F) {
	for _, seed := range []string{"", "Bearer", "Bearer ", "bearer x", "Bearer  x ", "Basic x", "Bearer\tx",
		"Bearer x y", "x"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, header string) {
		key, ok := bearer([]string{header})
		if ok && (key == "" || len(header) < len("Bearer ")+len(key) ||
			!strings.EqualFold(header[:len("Bearer ")], "Bearer ")) {
			t.Fatalf("%q holds the key %q", header, key)
		}
		if again, still := bearer([]string{"Bearer " + key}); ok && (again != key || !still) {
			t.Fatalf("%q holds the key %q, and that %q", header, key, again)
		}
		if _, twice := bearer([]string{header, header}); twice {
			t.Fatal("two keys are taken for one")
		}
	})
}
