package frontend_test

import (
	"encoding/csv"
	"html"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/frontend"
)

var (
	simulatedTable = regexp.MustCompile(`(?s)<table[^>]* id="simulated-([a-z-]+)">(.*?)</table>`)
	tableRow       = regexp.MustCompile(`(?s)<tr>(.*?)</tr>`)
	tableCell      = regexp.MustCompile(`(?s)<t[hd][^>]*>(.*?)</t[hd]>`)
)

// The tables of simulations on the method page are those that the tests of the method write.
func TestMethodPage_ShowsTheSimulationsThatAreRun(t *testing.T) {
	t.Parallel()
	text, err := fs.ReadFile(frontend.Files(), "worked-out.html")
	require.NoError(t, err)
	shown := map[string][][]string{}
	for _, table := range simulatedTable.FindAllStringSubmatch(string(text), -1) {
		for _, row := range tableRow.FindAllStringSubmatch(table[2], -1) {
			var cells []string
			for _, cell := range tableCell.FindAllStringSubmatch(row[1], -1) {
				cells = append(cells, html.UnescapeString(cell[1]))
			}
			shown[table[1]] = append(shown[table[1]], cells)
		}
	}
	files, err := filepath.Glob("../internal/calibrate/testdata/simulated/*.csv")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		f, err := os.Open(file)
		require.NoError(t, err)
		defer f.Close()
		rows, err := csv.NewReader(f).ReadAll()
		require.NoError(t, err)
		name := strings.TrimSuffix(filepath.Base(file), ".csv")
		assert.Equal(t, rows, shown[name], name)
	}
	assert.Len(t, shown, len(files))
}
