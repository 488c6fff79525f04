package fleet_test

import (
	"net/url"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"evenpull/internal/fleet"
)

func TestSlug_ReadsWellInALink(t *testing.T) {
	t.Parallel()
	for name, want := range map[string]string{
		"Bluestem":               "bluestem",
		"Big  Bluestem, No. 2 ":  "big-bluestem-no-2",
		"Pré d'Été":              "pre-dete",
		"--Timothy--":            "timothy",
		"Тимофеевка 3":           "тимофеевка-3",
		"Йоркшир":                "йоркшир",
		"???":                    "",
		"<img src=x onerror=y()": "img-src-x-onerror-y",
	} {
		assert.Equal(t, want, fleet.Slug(name), name)
	}
}

func TestSlug_OfASlugIsItself(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		slug := fleet.Slug(rapid.String().Draw(t, "name"))
		assert.Equal(t, slug, fleet.Slug(slug), "an id made from an id")
		assert.NotContains(t, slug, "--")
		assert.NotContains(t, url.PathEscape(slug), "%2F")
	})
}
