package openapi

import (
	"encoding/json"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// nodes calls do with every mapping of the contract and where it stands.
func nodes(t *testing.T, do func(at string, fields map[string]any)) {
	t.Helper()
	var document map[string]any
	doc, err := openapi3.NewLoader().LoadFromData(Document)
	require.NoError(t, err)
	text, err := doc.MarshalJSON()
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(text, &document))
	var walk func(at string, node any)
	walk = func(at string, node any) {
		switch node := node.(type) {
		case map[string]any:
			do(at, node)
			for name, child := range node {
				walk(at+"/"+name, child)
			}
		case []any:
			for _, child := range node {
				walk(at+"/", child)
			}
		}
	}
	walk("", document)
}

// OpenAPI Specification 3.0.3, Schema Object: nullable "is only meaningful in combination with type, in the same Schema
// Object". Later versions have no nullable.
func TestContract_SaysNullOnlyBesideAType(t *testing.T) {
	t.Parallel()
	found := 0
	nodes(t, func(at string, fields map[string]any) {
		if at == "" {
			assert.Equal(t, "3.0.3", fields["openapi"])
		}
		if fields["nullable"] == true {
			assert.IsType(t, "", fields["type"], at)
			found++
		}
	})
	assert.NotZero(t, found)
}

// OpenAPI Specification 3.0.3, Data Types: "date" is a full-date of RFC 3339.
func TestContract_SaysWhatIsADate(t *testing.T) {
	t.Parallel()
	found := 0
	nodes(t, func(at string, fields map[string]any) {
		if fields["pattern"] == "^[0-9]{4}-[0-9]{2}-[0-9]{2}$" || fields["example"] == "2026-05-09" {
			assert.Equal(t, "date", fields["format"], at)
			found++
		}
	})
	assert.NotZero(t, found)
}

func TestContract_DescribesEveryOperationAndWhoMay(t *testing.T) {
	t.Parallel()
	doc, err := openapi3.NewLoader().LoadFromData(Document)
	require.NoError(t, err)
	ids := map[string]bool{}
	for path, item := range doc.Paths.Map() {
		for method, o := range item.Operations() {
			name := method + " " + path
			assert.NotEmpty(t, o.Summary, name)
			assert.NotEmpty(t, o.Description, name)
			assert.NotNil(t, o.Security, "%s: [] where anybody may", name)
			assert.NotEmpty(t, o.Tags, name)
			assert.False(t, ids[o.OperationID], name)
			ids[o.OperationID] = true
		}
	}
}
