package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/store/storetest"
)

// A curl line of the README, fenced, and the fenced block under it that says what comes back.
var readmeExample = regexp.MustCompile("(?s)```\n(curl [^\n]*)\n```\n```[a-z]*\n(.*?)```\n")

// Below its curl lines the README shows what the demo answers: fields left out, lists cut to their first items, numbers
// rounded to the decimals shown, lines of a spreadsheet cut where … stands.
func TestReadme_ShowsWhatTheDemoAnswers(t *testing.T) {
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
			have := strings.Split(string(got), "\r\n")
			for i, want := range strings.Split(strings.TrimSpace(e[2]), "\n") {
				start, cut := strings.CutSuffix(want, "…")
				require.True(t, cut, want)
				assert.Equal(t, start, have[i][:min(len(start), len(have[i]))], e[1])
			}
			continue
		}
		assert.Empty(t, different("", decoded(t, []byte(e[2])), decoded(t, got)), e[1])
	}
}

func TestReadme_IsShort(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../README.md")
	require.NoError(t, err)
	assert.LessOrEqual(t, strings.Count(string(text), "\n"), 200, "lines; in full the answers are on /docs")
}

// decoded is a JSON value with its numbers as they were written.
func decoded(t *testing.T, text []byte) any {
	t.Helper()
	var value any
	read := json.NewDecoder(bytes.NewReader(text))
	read.UseNumber()
	require.NoError(t, read.Decode(&value), "%s", text)
	return value
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

// different lists where a shortened JSON value says something else than the value it was made from.
func different(at string, want, have any) []string {
	switch w := want.(type) {
	case map[string]any:
		h, ok := have.(map[string]any)
		if !ok {
			return []string{at + ": no object"}
		}
		var out []string
		for name, value := range w {
			in, ok := h[name]
			if !ok {
				out = append(out, at+"."+name+": no such field")
				continue
			}
			out = append(out, different(at+"."+name, value, in)...)
		}
		return out
	case []any:
		h, ok := have.([]any)
		if !ok || len(h) < len(w) {
			return []string{at + ": fewer items"}
		}
		var out []string
		for i := range w {
			out = append(out, different(fmt.Sprintf("%s[%d]", at, i), w[i], h[i])...)
		}
		return out
	case json.Number:
		_, decimals, _ := strings.Cut(w.String(), ".")
		h, ok := have.(json.Number)
		if !ok || rounded(h, len(decimals)) != w.String() {
			return []string{fmt.Sprintf("%s: %v, not %v", at, have, want)}
		}
		return nil
	}
	if want != have {
		return []string{fmt.Sprintf("%s: %v, not %v", at, have, want)}
	}
	return nil
}

func rounded(n json.Number, decimals int) string {
	value, err := n.Float64()
	if err != nil {
		return err.Error()
	}
	return strconv.FormatFloat(value, 'f', decimals, 64)
}
