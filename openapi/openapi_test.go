package openapi

import (
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func TestGeneratedCode_IsFresh(t *testing.T) {
	t.Parallel()
	settings, err := os.ReadFile("oapi-codegen.yaml")
	require.NoError(t, err)
	folder := t.TempDir()
	fresh := filepath.Join(folder, "fresh.go")
	elsewhere := strings.Replace(string(settings), "output: openapi.gen.go", "output: "+fresh, 1)
	require.Contains(t, elsewhere, fresh)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "settings.yaml"), []byte(elsewhere), 0o600))
	generate := exec.Command("go", "tool", "oapi-codegen", "-config", filepath.Join(folder, "settings.yaml"),
		"openapi.yaml")
	out, err := generate.CombinedOutput()
	require.NoError(t, err, "%s", out)
	want, err := os.ReadFile(fresh)
	require.NoError(t, err)
	got, err := os.ReadFile("openapi.gen.go")
	require.NoError(t, err)
	assert.True(t, string(want) == string(got), "openapi.gen.go is stale; run: go generate ./openapi")
}

// The contract spells the fields of a reading out three times: additionalProperties under allOf would refuse what the
// other part has. They are those of fleet.ReadingFields, with its limits.
func TestReadingSchemas_HaveTheFieldsOfAReading(t *testing.T) {
	t.Parallel()
	doc, err := openapi3.NewLoader().LoadFromData(Document)
	require.NoError(t, err)
	schemas := doc.Components.Schemas
	one, many, stored := schemas["ReadingInput"].Value, schemas["BatchReading"].Value, schemas["Reading"].Value
	of := func(s *openapi3.Schema, but ...string) map[string]string {
		fields := map[string]string{}
		for name, ref := range s.Properties {
			if !slices.Contains(but, name) {
				text, err := ref.MarshalJSON()
				require.NoError(t, err)
				fields[name] = string(text)
			}
		}
		return fields
	}
	assert.Equal(t, of(one), of(many, "sled"))
	assert.ElementsMatch(t, append(slices.Clone(one.Required), "sled"), many.Required)
	names := func(fields map[string]string) []string { return slices.Sorted(maps.Keys(fields)) }
	assert.Equal(t, names(of(many)), names(of(stored, "id", "set_aside", "confirmed_at", "batch", "created_at",
		"from_owner", "owner_set_aside")))
	var listed []string
	for _, f := range fleet.ReadingFields() {
		listed = append(listed, f.Name)
		assert.Equal(t, f.Needed, slices.Contains(many.Required, f.Name), f.Name)
		for _, schema := range []*openapi3.Schema{many, stored} {
			property := schema.Properties[f.Name]
			require.NotNil(t, property, f.Name)
			switch s := property.Value; {
			case f.Kind == fleet.EndedField:
			case s.Type.Is(openapi3.TypeNumber):
				assert.Equal(t, f.Most, *s.Max, f.Name)
				assert.NotEmpty(t, f.Unit(), f.Name)
			default:
				assert.EqualValues(t, f.Most, *s.MaxLength, f.Name)
				assert.EqualValues(t, f.Least, s.MinLength, f.Name)
			}
		}
	}
	assert.ElementsMatch(t, listed, names(of(many)))
}

// Likewise those of a weighing are those of fleet.WeighingFields.
func TestWeighingSchemas_HaveTheFieldsOfAWeighing(t *testing.T) {
	t.Parallel()
	doc, err := openapi3.NewLoader().LoadFromData(Document)
	require.NoError(t, err)
	schemas := doc.Components.Schemas
	one, many, stored := schemas["WeighingInput"].Value, schemas["BatchWeighing"].Value, schemas["Weighing"].Value
	for _, f := range fleet.WeighingFields() {
		assert.Equal(t, f.Needed, slices.Contains(many.Required, f.Name), f.Name)
		if f.Kind == fleet.SledField {
			continue
		}
		assert.Equal(t, f.Needed, slices.Contains(one.Required, f.Name), f.Name)
		for _, schema := range []*openapi3.Schema{one, many, stored} {
			property := schema.Properties[f.Name]
			require.NotNil(t, property, f.Name)
			if s := property.Value; s.Type.Is(openapi3.TypeNumber) {
				assert.Equal(t, f.Most, *s.Max, f.Name)
			} else {
				assert.EqualValues(t, f.Most, *s.MaxLength, f.Name)
			}
		}
	}
	assert.Len(t, many.Properties, len(fleet.WeighingFields()))
	assert.Len(t, one.Properties, len(fleet.WeighingFields())-1)
	assert.Len(t, stored.Properties,
		len(fleet.WeighingFields())+len([]string{"id", "set_aside", "owner_set_aside", "created_at"}))
}
