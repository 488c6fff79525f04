package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// contents is everything that is stored, by the marks of the writes that stored it.
type contents struct {
	sleds    map[string][]openapi.Sled
	shows    map[string][]openapi.Show
	readings map[string][]openapi.Reading
	aside    map[string]int
	lines    map[string][]openapi.AsRun
}

func (c *writers) stored() contents {
	t, p := c.t, c.p
	all := contents{map[string][]openapi.Sled{}, map[string][]openapi.Show{}, map[string][]openapi.Reading{},
		map[string]int{}, map[string][]openapi.AsRun{}}
	for _, s := range pagesOf[openapi.Sled](t, p, "/v1/sleds") {
		all.sleds[s.Name] = append(all.sleds[s.Name], s)
	}
	for _, s := range pagesOf[openapi.Show](t, p, "/v1/shows") {
		all.shows[s.Name] = append(all.shows[s.Name], s)
	}
	for _, r := range allMeasured(t, p) {
		mark, _, _ := strings.Cut(valueOr(r.Note, ""), " row ")
		all.readings[mark] = append(all.readings[mark], r)
		if r.SetAside != nil {
			all.aside[r.SetAside.Reason]++
		}
	}
	sheet := into[openapi.Sheet](t, p.do(get(c.show+"/sheet")), 200)
	for _, line := range sheet.Rows[0].AsRun {
		all.lines[valueOr(line.Note, "")] = append(all.lines[valueOr(line.Note, "")], line)
	}
	return all
}

// allMeasured are the readings of all the sleds that readings are noted of.
func allMeasured(t *testing.T, p *program) (all []openapi.Reading) {
	t.Helper()
	for n := range measuredSleds {
		all = append(all, pagesOf[openapi.Reading](t, p, fmt.Sprintf("/v1/sleds/bluestem-%d/readings", n))...)
	}
	return all
}

// pagesOf reads all pages of a list, without holding every one against the contract: the lists grow long.
func pagesOf[T any](t *testing.T, p *program, path string) (all []T) {
	t.Helper()
	for next := ""; ; {
		got, err := client.Get(p.address + path + "?limit=500" + next)
		require.NoError(t, err)
		var page struct {
			Items []T
			Next  *string
		}
		err = json.NewDecoder(got.Body).Decode(&page)
		got.Body.Close()
		require.NoError(t, err)
		require.Equal(t, 200, got.StatusCode)
		all = append(all, page.Items...)
		if page.Next == nil {
			return all
		}
		next = "&after=" + *page.Next
	}
}

// count is how often a write is there, whole and as it was sent.
func (all contents) count(t *testing.T, w *sending) int {
	t.Helper()
	asSent := func(stored any) { // every field that was sent is there as it was
		var fields map[string]any
		text, err := json.Marshal(stored)
		require.NoError(t, err)
		require.NoError(t, json.Unmarshal(text, &fields))
		want, _ := w.request.body.(map[string]any)
		for name, value := range want {
			a, _ := json.Marshal(value)
			b, _ := json.Marshal(fields[name])
			assert.True(t, bytes.Equal(a, b), "%s of %s %s is %s, and %s was sent", name, w.kind, w.mark, b, a)
		}
	}
	switch w.kind {
	case "sled":
		for _, s := range all.sleds[w.mark] {
			asSent(s)
		}
		return len(all.sleds[w.mark])
	case "show":
		for _, s := range all.shows[w.mark] {
			asSent(s)
		}
		return len(all.shows[w.mark])
	case "reading":
		for _, r := range all.readings[w.mark] {
			asSent(r)
		}
		return len(all.readings[w.mark])
	case "as-run":
		for _, line := range all.lines[w.mark] {
			asSent(line)
		}
		return len(all.lines[w.mark])
	case "import":
		rows := map[string]float64{}
		for _, r := range all.readings[w.mark] {
			rows[*r.Note] = r.DistanceFt
		}
		n := len(all.readings[w.mark])
		assert.Zero(t, n%importRows, "%s is there in part: %d rows", w.mark, n)
		for row := range min(n, importRows) {
			assert.EqualValues(t, 240+row, rows[fmt.Sprintf("%s row %d", w.mark, row)])
		}
		return n / importRows
	case "set aside":
		return all.aside[w.mark]
	}
	return 1 // a correction is overwritten by the next; see settlePuts
}
