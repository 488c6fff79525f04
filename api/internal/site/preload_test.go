package site

import (
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestPreloads_NamesEveryModuleThatTheScriptsComeToImport(t *testing.T) {
	t.Parallel()
	files := fstest.MapFS{
		"assets/fleet/page.js": {Data: []byte("import { a } from './sled/sled.js';\nimport '../lib/dom.js';\n" +
			"const later = () => import('./late.js');\n")},
		"assets/fleet/sled/sled.js": {Data: []byte("export { b } from '../../lib/dom.js';\n" +
			"import {\n  c,\n} from '../page.js';\n// import './commented.js';\n")},
		"assets/lib/dom.js": {Data: []byte("export const dom = 1;\n")},
	}
	const html = "<html><head>\n<script type=\"module\" src=\"/assets/fleet/page.js\"></script>\n</head></html>"
	got, err := modulesIn(files).preloads([]byte(html))
	require.NoError(t, err)
	for _, name := range []string{"fleet/sled/sled.js", "lib/dom.js"} {
		link := `<link rel="modulepreload" href="/assets/` + name + `" fetchpriority="low">`
		assert.Equal(t, 1, strings.Count(string(got), link), name)
	}
	assert.NotContains(t, string(got), "late.js", "what is imported later is not fetched before")
	assert.NotContains(t, string(got), "commented.js")

	_, err = modulesIn(files).preloads([]byte(html), "assets/fleet/late.js")
	require.ErrorContains(t, err, "assets/fleet/late.js")
	files["assets/fleet/late.js"] = &fstest.MapFile{Data: []byte("import '../lib/dom.js';\nimport './later.js';\n")}
	files["assets/fleet/later.js"] = &fstest.MapFile{}
	got, err = modulesIn(files).preloads([]byte(html), "assets/fleet/late.js")
	require.NoError(t, err)
	for _, name := range []string{"fleet/late.js", "fleet/later.js", "fleet/sled/sled.js", "lib/dom.js"} {
		link := `<link rel="modulepreload" href="/assets/` + name + `" fetchpriority="low">`
		assert.Equal(t, 1, strings.Count(string(got), link), name)
	}

	none, err := modulesIn(files).preloads([]byte("<html><head></head></html>"))
	require.NoError(t, err)
	assert.Empty(t, none)
	delete(files, "assets/lib/dom.js")
	_, err = modulesIn(files).preloads([]byte(html))
	assert.ErrorContains(t, err, "assets/lib/dom.js", "a module that is not there is found at the start")
}
