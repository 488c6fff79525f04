package reply

import (
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestCondition_IsReadAsTheRFCWritesIt(t *testing.T) {
	t.Parallel()
	for header, want := range map[string]condition{
		`"a"`:             {tags: []tag{{"a", false}}},
		`W/"a"`:           {tags: []tag{{"a", true}}},
		`"a", W/"b" ,"c"`: {tags: []tag{{"a", false}, {"b", true}, {"c", false}}},
		`"a,b"`:           {tags: []tag{{"a,b", false}}},
		` * `:             {any: true},
	} {
		got, ok := parseCondition(header)
		assert.True(t, ok, header)
		assert.Equal(t, want, got, header)
	}
	for _, header := range []string{"", "a", `"a`, `"a" "b"`, `w/"a"`, `"a", b`, `*, "a"`} {
		_, ok := parseCondition(header)
		assert.False(t, ok, header)
	}
}

func FuzzCondition(f *testing.F) {
	for _, seed := range []string{"", "*", `"a"`, `W/"a", "b"`, `"a""b"`, `"a" "b"`, `W/`, `"`, `"a",`, `,"a"`, `w/"a"`,
		`""`, `"a"` + "\t,\t" + `"b"`, `* , "a"`} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, header string) {
		c, ok := parseCondition(header)
		if !ok {
			if len(c.tags) > 0 || c.any || stillHolds(header, `"a"`) {
				t.Fatalf("%q is no condition and holds", header)
			}
			return
		}
		if c.any != (len(c.tags) == 0) {
			t.Fatalf("%q is %+v", header, c)
		}
		var written []string
		for _, tag := range c.tags {
			if strings.Contains(tag.opaque, `"`) || !stillHolds(header, `W/"`+tag.opaque+`"`) {
				t.Fatalf("%q does not hold for its own %q", header, tag.opaque)
			}
			written = append(written, map[bool]string{false: `"`, true: `W/"`}[tag.weak]+tag.opaque+`"`)
		}
		if again, ok := parseCondition(strings.Join(written, ", ")); len(written) > 0 &&
			(!ok || !reflect.DeepEqual(c, again)) {
			t.Fatalf("%q is %+v, and that is %+v", header, c, again)
		}
	})
}
