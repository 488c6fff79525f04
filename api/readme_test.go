package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/store/storetest"
)

// A curl line of the README, fenced, and the fenced block under it that says what comes back.
var readmeExample = regexp.MustCompile("(?s)```\n(curl [^\n]*)\n```\n```[a-z]*\n(.*?)```\n")

// What the README shows under its curl lines is what the demo answers, ids and times aside.
func TestTheReadmeShowsWhatReallyComesBack(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../README.md")
	require.NoError(t, err)
	// The day of its reading is one of last month's, as it was when it was written: of an old reading something is
	// said.
	const measured = "2026-09-19"
	require.Contains(t, string(text), measured)
	lately := strings.ReplaceAll(string(text), measured, time.Now().AddDate(0, -1, 0).Format(time.DateOnly))
	examples := readmeExample.FindAllStringSubmatch(lately, -1)
	require.Len(t, examples, 5)
	const key = "any-20-characters-or-more" // the one the README starts with
	p := startOn(t, storetest.DB(t), map[string]string{"EVENPULL_MANAGER_KEY": key}, "--demo")
	for _, e := range examples {
		got := p.do(curl(t, e[1])).body
		if !strings.HasPrefix(e[2], "{") {
			assert.Equal(t, strings.Split(strings.TrimSpace(e[2]), "\n"),
				strings.Split(strings.TrimSpace(string(got)), "\r\n"), e[1])
			continue
		}
		var want, have any
		require.NoError(t, json.Unmarshal([]byte(e[2]), &want), e[1])
		require.NoError(t, json.Unmarshal(got, &have), e[1])
		assert.Empty(t, different("", want, have), e[1])
	}
}

// curl reads the few options that the README uses.
func curl(t *testing.T, line string) request {
	t.Helper()
	words := regexp.MustCompile(`'[^']*'|\S+`).FindAllString(line, -1)[1:]
	r := get("")
	for i := 0; i < len(words); i++ {
		word := strings.Trim(words[i], "'")
		switch {
		case word == "-H":
			i++
			name, value, _ := strings.Cut(strings.Trim(words[i], "'"), ": ")
			r = r.with(name, value)
		case word == "--json":
			i++
			r.method, r.body = "POST", strings.Trim(words[i], "'")
			r = r.with("Content-Type", "application/json")
		default:
			path, ok := strings.CutPrefix(word, "http://127.0.0.1:8080")
			require.True(t, ok, "%s in %s", word, line)
			r.path = path
		}
	}
	r.stranger = r.header.Get("Authorization") != "" // it brings its own
	return r
}

// different lists where two JSON values are not the same; numbers may differ in their last digits.
func different(at string, want, have any) []string {
	switch w := want.(type) {
	case map[string]any:
		h, ok := have.(map[string]any)
		if !ok || len(h) != len(w) {
			return []string{at + ": other fields"}
		}
		var out []string
		for name, value := range w {
			if name == "id" && value != "foxtail" || strings.HasSuffix(name, "_at") {
				continue
			}
			out = append(out, different(at+"."+name, value, h[name])...)
		}
		return out
	case []any:
		h, ok := have.([]any)
		if !ok || len(h) != len(w) {
			return []string{at + ": another length"}
		}
		var out []string
		for i := range w {
			out = append(out, different(fmt.Sprintf("%s[%d]", at, i), w[i], h[i])...)
		}
		return out
	case float64:
		h, ok := have.(float64)
		if !ok || math.Abs(h-w) > 1e-6*(1+math.Abs(w)) {
			return []string{fmt.Sprintf("%s: %v, not %v", at, have, w)}
		}
		return nil
	}
	if want != have {
		return []string{fmt.Sprintf("%s: %v, not %v", at, have, want)}
	}
	return nil
}
