package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The page of answers has its answer fetched ahead of its scripts, by exactly the request that it will make itself.
func TestThePageOfAnswersNamesTheAnswerItWillAskFor(t *testing.T) {
	t.Parallel()
	p := start(t)
	for query, link := range map[string]string{
		"/?sled=bluestem&gear=C&start=0&on=fescue":                  "</v1/equivalents?sled=bluestem&gear=C&start_ft=0&on=fescue>; rel=preload; as=fetch; crossorigin",
		"/?on=fescue&gear=high+1&sled=timothy&start=2.5&units=m":    "</v1/equivalents?sled=timothy&gear=high+1&start_ft=2.5&on=fescue>; rel=preload; as=fetch; crossorigin",
		"/?sled=bluestem&gear=C&on=fescue":                          "</v1/equivalents?sled=bluestem&gear=C&start_ft=0&on=fescue>; rel=preload; as=fetch; crossorigin",
		"/":                                                         "",
		"/?sled=bluestem&gear=C":                                    "",
		"/?sled=bluestem&gear=C&start=2.50&on=fescue":               "", // the page writes 2.5
		"/?sled=bluestem&gear=C&start=-1&on=fescue":                 "",
		"/?sled=bluestem&gear=C&on=fescue&on=timothy":               "",
		"/?sled=bluestem&gear=%3E%0D%0ASet-Cookie:%20a=b&on=fescue": "",
		"/?sled=bluestem&gear=C%C3%A9&start=0&on=fescue":            "",
		"/fleet?sled=bluestem&gear=C&start=0&on=fescue":             "",
	} {
		got := p.do(get(query))
		assert.Equal(t, 200, got.StatusCode, query)
		assert.Equal(t, link, got.Header.Get("Link"), query)
		assert.Empty(t, got.Header.Get("Set-Cookie"), query)
		if link != "" {
			assert.Contains(t, got.Header.Values("Link"), "</v1/sleds?limit=500>; rel=preload; as=fetch; crossorigin", query)
		}
	}
}
