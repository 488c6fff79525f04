package main

import (
	"bytes"
	"database/sql"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/store/storetest"
	"evenpull/openapi"
)

const (
	crashRounds      = 50 // in full
	crashRoundsUsual = 5
	crashWriters     = 8
	crashWrites      = 120 // acknowledged in a round, at most
	crashWritesThere = 40  // on a database server, which takes its time
	importRows       = 25
)

// Eight clients write whatever they like, and the program is killed under them, again and again. What was acknowledged
// is there afterward, once and with the values that were sent; what was not is there once or not at all, and once when
// it is sent again.
func TestCrash_LosesAndDoublesNothing(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	db := filepath.Join(t.TempDir(), "fleet.db")
	rounds, seed := crashRoundsUsual, numberFrom(t, "EVENPULL_SEED", int(time.Now().UnixNano()%1_000_000))
	if inFull() {
		rounds = crashRounds
	}
	t.Logf("EVENPULL_SEED=%d", seed)
	draw := rand.New(rand.NewPCG(uint64(seed), 0))
	p := spawn(t, db)
	c := newWriters(t, p.program, uint64(seed))
	c.cameUp = func(round int) {
		if draw.IntN(5) == 0 { // dead again while it comes up
			cmd, _, _ := command(t, db)
			require.NoError(t, cmd.Start())
			pause(draw, 60*time.Millisecond)
			require.NoError(t, cmd.Process.Kill())
			_ = cmd.Wait()
		}
		p = spawn(t, db)
		c.p = p.program
	}
	for round := range rounds {
		c.round(round, draw, func() { p.kill() })
	}
	c.lookForAll()
	c.report()
	require.Equal(t, exitWell, p.end(syscall.SIGTERM), "%s", p.stderr)
	p.stop = func() int { return exitWell }
	databaseIsSound(t, db)
}

// The same on a database server, which is killed instead, every process of it. The program stays, says meanwhile that
// it cannot, and goes on by itself when the server is there again.
func TestCrash_OfTheDatabaseServerLosesAndDoublesNothing(t *testing.T) {
	t.Parallel()
	rounds, seed := crashRoundsUsual, numberFrom(t, "EVENPULL_SEED", int(time.Now().UnixNano()%1_000_000))
	if inFull() {
		rounds = crashRounds
	}
	t.Logf("EVENPULL_SEED=%d", seed)
	server := storetest.Postgres(t)
	draw := rand.New(rand.NewPCG(uint64(seed), 0))
	p := spawn(t, server.URL(t))
	c := newWriters(t, p.program, uint64(seed))
	c.most = crashWritesThere
	c.cameUp = func(int) {
		server.Start(t)
		require.Eventually(t, func() bool { return p.do(get("/readyz")).StatusCode == 200 }, 30*time.Second,
			5*time.Millisecond, "%s", p.stderr)
	}
	for round := range rounds {
		c.round(round, draw, func() { server.Kill(t) })
	}
	c.lookForAll()
	c.report()
	require.Equal(t, exitWell, p.stop(), "%s", p.stderr)
}

// pause waits for any time up to most, so that a kill comes at any moment of what is under way.
func pause(draw *rand.Rand, most time.Duration) { time.Sleep(time.Duration(draw.Int64N(int64(most)))) }

// sending is one write as its client knows it. Its mark is in what it stores, and in nothing else.
type sending struct {
	kind, mark string
	request    request
	of         string // the thing it changes
	answered   bool
	answer     []byte
}

// writers are the clients of a crash test with all that they have sent so far.
type writers struct {
	t      *testing.T
	p      *program
	seed   uint64
	most   int64  // writes that are acknowledged before a crash, at most
	show   string // at which lines are noted
	cameUp func(round int)
	sure   []*sending // answered, and found after the crash that came next
	unsure []*sending
	mu     sync.Mutex
	sent   []*sending // in this round
	puts   [crashWriters]puts
	killed int // writes that a crash came between
	kept   int // of those, how many were stored
}

// puts are the corrections of one client's own sled.
type puts struct {
	sled, etag string
	done       int // how many took effect
	notes      string
	open       *sending // sent and not answered
}

// newWriters adds what the clients write about.
func newWriters(t *testing.T, p *program, seed uint64) *writers {
	t.Helper()
	c := &writers{t: t, p: p, seed: seed, most: crashWrites}
	addMeasuredSleds(t, p)
	for n := range c.puts {
		got := p.do(post("/v1/sleds", ownSled(n, "")))
		c.puts[n] = puts{sled: into[openapi.Sled](t, got, 201).Id, etag: got.Header.Get("ETag")}
	}
	into[openapi.Sled](t, p.do(post("/v1/sleds", fescue())), 201) // which runs, and is not measured meanwhile
	class := into[openapi.Class](t,
		p.do(post("/v1/classes", map[string]any{"name": "Farm 9500",
			"setting": map[string]any{"sled": "fescue", "gear": "2"}})), 201)
	show := map[string]any{"name": "Pull", "date": "2099-07-18", "sled": "fescue", "classes": []any{class.Id}}
	c.show = "/v1/shows/" + into[openapi.Show](t, p.do(post("/v1/shows", show)), 201).Id
	return c
}

func ownSled(n int, notes string) map[string]any {
	return map[string]any{"name": fmt.Sprintf("Own sled %d", n), "notes": notes,
		"gears": []any{map[string]any{"label": "A"}}}
}

// round lets all write until so many writes are acknowledged, crashes under them, and looks at what is there.
func (c *writers) round(round int, draw *rand.Rand, crash func()) {
	until := draw.Int64N(c.most)
	var acknowledged atomic.Int64
	var all sync.WaitGroup
	reached := make(chan struct{})
	for n := range crashWriters {
		own := rand.New(rand.NewPCG(c.seed, uint64(round*crashWriters+n+1)))
		all.Go(func() {
			var readings []string // this client's own, of this round
			for i := 0; ; i++ {
				w := c.draw(own, n, &readings, fmt.Sprintf("round %d, client %d, write %d.", round, n, i))
				c.mu.Lock()
				c.sent = append(c.sent, w)
				c.mu.Unlock()
				got, err := c.p.try(w.request)
				if err != nil || got.StatusCode == 503 {
					return
				}
				if !assert.Contains(c.t, []int{200, 201}, got.StatusCode, "%s: %s", w.mark, got.body) {
					return
				}
				c.took(w, n, got, &readings)
				if acknowledged.Add(1) == until+1 {
					close(reached)
				}
			}
		})
	}
	<-reached
	pause(draw, 4*time.Millisecond)
	crash()
	all.Wait()
	c.cameUp(round)
	c.settle(draw)
}

// draw draws the next write of a client.
func (c *writers) draw(own *rand.Rand, n int, readings *[]string, mark string) *sending {
	w := &sending{mark: mark}
	switch kind := own.IntN(20); {
	case kind < 1:
		w.kind = "import"
		w.request = csvPost("/v1/readings?unlikely=keep&repeated=keep", quotedRows(own, mark))
	case kind < 3:
		w.kind = "sled"
		w.request = post("/v1/sleds", map[string]any{"name": mark, "travel_ft": 30 + float64(own.IntN(9)),
			"notes": mark, "gears": []any{map[string]any{"label": "A"}, map[string]any{"label": "B"}}})
	case kind < 5:
		w.kind = "show"
		w.request = post("/v1/shows", map[string]any{"name": mark, "date": "2099-08-01", "sled": "fescue",
			"classes": []any{}, "notes": mark})
	case kind < 8:
		w.kind = "as-run"
		w.request = post(c.show+"/classes/farm-9500/as-run",
			map[string]any{"from_hook": 1 + own.IntN(400), "gear": "1", "note": mark})
	case kind < 11:
		w.kind, w.of = "put", c.puts[n].sled
		c.puts[n].open = w
		w.request = put("/v1/sleds/"+c.puts[n].sled, ownSled(n, mark)).with("If-Match", c.puts[n].etag)
		return w
	case kind < 13 && len(*readings) > 0:
		last := len(*readings) - 1
		w.kind, w.of = "set aside", (*readings)[last]
		*readings = (*readings)[:last]
		w.request = patch("/v1/readings/"+w.of, map[string]any{"set_aside": map[string]any{"reason": mark}})
		return w
	default:
		w.kind = "reading"
		reading := readingOf("B", 230+float64(own.IntN(1000))/8)
		reading["note"], reading["start_ft"], reading["by"] = mark, float64(own.IntN(5)), "crew"
		w.request = post("/v1/sleds/"+measuredSled(own)+"/readings?unlikely=keep", reading)
	}
	w.request = w.request.with("Idempotency-Key", mark)
	return w
}

// measuredSleds are the sleds that readings are noted of: many, because a sled that is not there for tests alone has
// few dozen.
const measuredSleds = 24

func measuredSled(draw *rand.Rand) string {
	return fmt.Sprintf("bluestem-%d", draw.IntN(measuredSleds))
}

func addMeasuredSleds(t *testing.T, p *program) {
	t.Helper()
	for n := range measuredSleds {
		sled := bluestem()
		sled["name"] = fmt.Sprintf("Bluestem %d", n)
		into[openapi.Sled](t, p.do(post("/v1/sleds", sled)), 201)
	}
}

// quotedRows is an import whose rows carry the mark.
func quotedRows(draw *rand.Rand, mark string) string {
	var sheet strings.Builder
	sheet.WriteString("sled,gear,start_ft,distance_ft,measured_on,note\n")
	for row := range importRows {
		fmt.Fprintf(&sheet, "%s,B,0,%d,2025-05-10,%q\n", measuredSled(draw), 240+row,
			fmt.Sprintf("%s row %d", mark, row))
	}
	return sheet.String()
}

// took notes that a write was acknowledged.
func (c *writers) took(w *sending, n int, got response, readings *[]string) {
	w.answered, w.answer = true, got.body
	switch w.kind {
	case "put":
		own := &c.puts[n]
		own.etag, own.notes, own.open = got.Header.Get("ETag"), w.mark, nil
		own.done++
	case "reading":
		*readings = append(*readings, into[openapi.Reading](c.t, got, 201).Id)
	}
}

// settle looks at everything after a crash, and sends again what was not answered.
func (c *writers) settle(draw *rand.Rand) {
	t := c.t
	there := c.stored()
	for _, w := range c.sent {
		if w.answered {
			c.sure = append(c.sure, w)
			continue
		}
		c.killed++
		found := there.count(t, w)
		assert.LessOrEqual(t, found, 1, "%s %s is there more than once", w.kind, w.mark)
		c.kept += found
		if w.kind != "put" {
			c.unsure = append(c.unsure, w)
		}
	}
	c.sent = nil
	c.lookFor(there)
	for n := range c.puts {
		c.settlePuts(n)
	}
	for _, w := range c.unsure {
		got := c.p.do(w.request)
		if assert.Contains(t, []int{200, 201}, got.StatusCode, "%s %s, sent again: %s", w.kind, w.mark, got.body) {
			w.answered, w.answer = true, got.body
			c.sure = append(c.sure, w) // and looked for after the next crash, like all the others
		}
	}
	c.unsure = nil
	for range 5 { // an answer that was lost on the way is given again, even after a crash
		w := c.sure[draw.IntN(len(c.sure))]
		if w.request.header.Get("Idempotency-Key") != "" {
			assert.Equal(t, string(w.answer), string(c.p.do(w.request).body), w.mark)
		}
	}
}

// lookForAll looks for everything that was acknowledged so far.
func (c *writers) lookForAll() { c.lookFor(c.stored()) }

func (c *writers) lookFor(there contents) {
	for _, w := range c.sure {
		assert.Equal(c.t, 1, there.count(c.t, w), "%s %s was acknowledged", w.kind, w.mark)
	}
}

// settlePuts looks whether the correction of a client's sled that was not answered took effect: wholly, once or not at
// all.
func (c *writers) settlePuts(n int) {
	own := &c.puts[n]
	got := c.p.do(get("/v1/sleds/" + own.sled))
	sled := into[openapi.Sled](c.t, got, 200)
	notes := valueOr(sled.Notes, "")
	if own.open != nil && notes == own.open.mark {
		own.done, own.notes = own.done+1, notes
	}
	assert.Equal(c.t, own.notes, notes, "the last correction of %s", own.sled)
	assert.Equal(c.t, own.done+1, sled.Revision, "corrections of %s", own.sled)
	own.open, own.etag = nil, got.Header.Get("ETag")
}

// report says what the crashes met.
func (c *writers) report() {
	kinds := map[string]int{}
	for _, w := range c.sure {
		kinds[w.kind]++
	}
	c.t.Logf("%d writes are there, %v; a crash came before the answer of %d, of which %d were stored", len(c.sure),
		kinds, c.killed, c.kept)
	for _, kind := range []string{"reading", "import", "sled", "show", "as-run", "put", "set aside"} {
		assert.NotZero(c.t, kinds[kind], kind)
	}
	assert.NotZero(c.t, c.killed)
}

// The log is cut short, or a bit of it flips, after the program was killed. It comes up with every write that lies
// before the damage, in order and whole, with none after it, and goes on from there.
func TestStart_KeepsWhatLiesBeforeTheDamageInAWAL(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	db := filepath.Join(t.TempDir(), "fleet.db")
	p := spawn(t, db)
	smallFleet(t, p.program)
	require.Equal(t, exitWell, p.stop())
	p = spawn(t, db)
	before := readingCount(t, p.program)
	const writes = 60
	ends := make([]int64, writes) // how long the log was after each
	for n := range ends {
		reading := readingOf("B", 262)
		reading["note"] = fmt.Sprintf("number %d", n)
		into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", reading)), 201)
		log, err := os.Stat(db + "-wal")
		require.NoError(t, err)
		ends[n] = log.Size()
	}
	p.kill()
	require.IsIncreasing(t, ends, "all of them are in the log")
	file, err := os.ReadFile(db)
	require.NoError(t, err)
	log, err := os.ReadFile(db + "-wal")
	require.NoError(t, err)

	rounds, seed := 30, uint64(numberFrom(t, "EVENPULL_SEED", int(time.Now().UnixNano()%1_000_000)))
	if testing.Short() {
		rounds = 4
	}
	t.Logf("EVENPULL_SEED=%d", seed)
	draw := rand.New(rand.NewPCG(seed, 3))
	for round := range rounds {
		at := draw.Int64N(int64(len(log)))
		damaged := bytes.Clone(log)
		if round%2 == 0 {
			damaged = damaged[:at]
		} else {
			damaged[at] ^= 1 << draw.IntN(8)
		}
		path := filepath.Join(t.TempDir(), "fleet.db")
		write(t, path, file)
		write(t, path+"-wal", damaged)
		p := spawn(t, path)
		var there []string
		for _, r := range allReadings(t, p.program, "bluestem") {
			if r.Note != nil {
				there = append(there, *r.Note)
			}
		}
		kept := slices.IndexFunc(ends, func(end int64) bool { return end > at })
		var want []string
		for n := range kept {
			want = append(want, fmt.Sprintf("number %d", n))
		}
		assert.ElementsMatch(t, want, there, "round %d, damaged at %d", round, at)
		into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf("B", 262))), 201)
		assert.Equal(t, before+kept+1, readingCount(t, p.program))
		require.Equal(t, exitWell, p.stop(), "%s", p.stderr)
		databaseIsSound(t, path)
	}
}

// databaseIsSound asks SQLite itself, and then the program.
func databaseIsSound(t *testing.T, path string) {
	t.Helper()
	db, err := sql.Open("sqlite3", path)
	require.NoError(t, err)
	defer db.Close()
	var says string
	require.NoError(t, db.QueryRow("PRAGMA integrity_check").Scan(&says))
	assert.Equal(t, "ok", says)
	broken, err := db.Query("PRAGMA foreign_key_check")
	require.NoError(t, err)
	assert.False(t, broken.Next(), "a row refers to one that is not there")
	require.NoError(t, broken.Close())
	require.NoError(t, db.Close())

	self, err := os.Executable()
	require.NoError(t, err)
	check := exec.Command(self, "check", "--db", path)
	check.Env = append(os.Environ(), asProgram+"=1")
	out, err := check.CombinedOutput()
	assert.NoError(t, err, "%s", out)
}
