package words

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/fleet"
)

func TestInvented_NamesTheSledsOfTheDemoAlone(t *testing.T) {
	t.Parallel()
	bluestem, fescue := fleet.Sled{Name: "Bluestem", Invented: true}, fleet.Sled{Name: "Fescue", Invented: true}
	ours := fleet.Sled{Name: "Ours"}
	assert.Empty(t, Invented())
	assert.Empty(t, Invented(ours))
	assert.Equal(t, " Invented for the demo, never measured: Bluestem.", Invented(ours, bluestem))
	assert.Equal(t, " Invented for the demo, never measured: Bluestem, Fescue.", Invented(bluestem, ours, fescue))
}
