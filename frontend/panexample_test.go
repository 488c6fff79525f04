package frontend_test

import (
	"fmt"
	"io/fs"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/frontend"
	"evenpull/internal/fleet"
	"evenpull/internal/panload"
)

var (
	panWeighings = regexp.MustCompile(`(?s) id="pan-weighings">(.*?)</table>`)
	panExample   = regexp.MustCompile(`(?s) id="pan-example">(.*?)</ol>`)
	anyTag       = regexp.MustCompile(`<[^>]*>`)
)

// shownWeighings are the weighings in the table of the method page, by sled; an empty cell is none.
func shownWeighings(t *testing.T, page string, marks map[string][3]float64) map[string][]fleet.Weighing {
	t.Helper()
	table := panWeighings.FindStringSubmatch(page)
	require.NotNil(t, table)
	number := func(text string) float64 {
		lb, err := strconv.ParseFloat(strings.ReplaceAll(text, ",", ""), 64)
		require.NoError(t, err)
		return lb
	}
	found := map[string][]fleet.Weighing{}
	for _, row := range tableRow.FindAllStringSubmatch(table[1], -1)[1:] {
		cells := tableCell.FindAllStringSubmatch(row[1], -1)
		require.Len(t, cells, 5)
		sled := cells[0][1]
		for i, cell := range cells[2:] {
			if cell[1] != "" {
				found[sled] = append(found[sled], fleet.Weighing{BoxAtFt: marks[sled][i],
					InBoxLb: number(cells[1][1]), PanLb: number(cell[1]), Scale: "one"})
			}
		}
	}
	return found
}

// inPlain is a figure as the page writes it: with a minus of its own and commas between thousands.
func inPlain(value float64, decimals int) string {
	whole, rest, _ := strings.Cut(strconv.FormatFloat(math.Abs(value), 'f', decimals, 64), ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if rest != "" {
		whole += "." + rest
	}
	if value < 0 {
		return "−" + whole
	}
	return whole
}

// The example of the load on the pan that the method page follows by hand comes to what the arithmetic says of the
// weighings in its table.
func TestMethodPage_PanExampleIsWhatTheArithmeticSays(t *testing.T) {
	t.Parallel()
	text, err := fs.ReadFile(frontend.Files(), "worked-out.html")
	require.NoError(t, err)
	travel := map[string]float64{"Bluestem": 30, "Fescue": 31}
	weighings := shownWeighings(t, string(text),
		map[string][3]float64{"Bluestem": {0, 15, 30}, "Fescue": {0, 15.5, 31}})
	require.Len(t, weighings["Bluestem"], 6)
	require.Len(t, weighings["Fescue"], 5)
	steps := panExample.FindStringSubmatch(string(text))
	require.NotNil(t, steps)
	says := func(what string, value float64, decimals int) {
		t.Helper()
		plain := anyTag.ReplaceAllString(steps[1], "")
		assert.Regexp(t, `(^|[^\d,.])`+regexp.QuoteMeta(inPlain(value, decimals))+`([^\d]|$)`, plain, what)
	}

	shares := []panload.Share{panload.ShareOf(weighings["Bluestem"]), panload.ShareOf(weighings["Fescue"])}
	says("squares of Bluestem", shares[0].SSR, 3)
	says("squares of Fescue", shares[1].SSR, 0)
	spread := panload.Pool(shares[0].Plus(shares[1]))
	says("spread", spread.Lb, 3)
	fits := map[string]*panload.Fit{}
	for sled, of := range weighings {
		fits[sled] = panload.FitTo(panload.Sled{TravelFt: travel[sled], Weighings: of,
			Loading: fleet.Loading{Blocks: []fleet.Block{{Lb: 2000, Count: 8}}}}, spread)
		require.NotNil(t, fits[sled])
		for i, c := range fits[sled].Coefficients() {
			require.NotNil(t, c)
			decimals := []int{3, 3, 6, 6}[i]
			if math.Abs(c.Value-math.Round(c.Value)) < 1e-6 {
				decimals = 0
			}
			says(fmt.Sprintf("%s %c", sled, "ABCD"[i]), c.Value, decimals)
		}
	}
	on := panload.Side{ID: "fescue", Fit: fits["Fescue"], Pull: panload.Pull{TopFt: 31, TopOutFt: 236}}
	asked := panload.Side{ID: "bluestem", Fit: fits["Bluestem"], InBoxLb: 16000,
		Pull: panload.Pull{TopFt: 30, TopOutFt: 230}}
	answer := panload.Solve(panload.Question{Asked: asked, On: on, FinishFt: 300, At: panload.AtFinish})
	require.Empty(t, answer.Cannot)
	says("weight", answer.InBox.Lb, 3)
	says("uncertainty", (answer.InBox.HighLb-answer.InBox.Lb)/spread.T(), 2)
	require.NotNil(t, answer.Rounded)
	says("rounded", answer.Rounded.Lb, 0)
	require.Len(t, answer.Remaining, 4)
	for _, left := range answer.Remaining {
		says("left at "+left.Where, math.Abs(left.Lb), 3)
	}
	says("class", fits["Bluestem"].Coefficients()[0].Value+30*fits["Bluestem"].Coefficients()[1].Value+
		16000*(fits["Bluestem"].Coefficients()[2].Value+30*fits["Bluestem"].Coefficients()[3].Value), 3)
	hook := panload.Solve(panload.Question{Asked: asked, On: on, FinishFt: 300, At: panload.AtHook})
	assert.Equal(t, panload.BlocksDoNothing, hook.Cannot)
}
