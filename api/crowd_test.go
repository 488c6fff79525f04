package main

import (
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/api/internal/reply"
	"evenpull/internal/store/storetest"
	"evenpull/openapi"
)

const (
	crowdSize      = 50
	crowdTime      = 20 * time.Second // in full
	crowdTimeUsual = 2 * time.Second
)

// Fifty people write at once, each from a connection of their own: nothing fails, and nobody's change is lost under
// another's. How long it takes is told, not judged.
func TestCrowd_ThatWritesAtOnceLosesNothing(t *testing.T) {
	t.Parallel()
	long := crowdTimeUsual
	if inFull() {
		long = crowdTime
	}
	db := storetest.DB(t)
	p := spawn(t, db)
	c := newManyPeople(t, p.program)
	until := time.Now().Add(long)
	var all sync.WaitGroup
	for n := range crowdSize {
		all.Go(func() { c.person(n).write(until) })
	}
	all.Wait()
	c.everythingIsThere()
	t.Log(c.figures(long))
	require.Equal(t, exitWell, p.end(syscall.SIGTERM), "%s", p.stderr)
	p.stop = func() int { return exitWell }
	assert.NotContains(t, p.stderr.String(), "DATA RACE")
	if !storetest.OnServer() {
		databaseIsSound(t, db)
	}
}

// manyPeople is all of them, with what they were told.
type manyPeople struct {
	t          *testing.T
	p          *program
	show       string
	readings   atomic.Int64
	aside      atomic.Int64 // readings set aside less those brought back
	changed    atomic.Int64 // readings set aside and brought back
	corrected  atomic.Int64
	lines      atomic.Int64
	overtaken  atomic.Int64 // 412
	mu         sync.Mutex
	took       map[string][]time.Duration // by kind
	unexpected map[int]int
}

// newManyPeople adds the one sled and the one show that all of them write about.
func newManyPeople(t *testing.T, p *program) *manyPeople {
	t.Helper()
	addMeasuredSleds(t, p)
	into[openapi.Sled](t, p.do(post("/v1/sleds", countedSled(0))), 201)
	into[openapi.Sled](t, p.do(post("/v1/sleds", fescue())), 201) // which runs, and is not measured meanwhile
	class := into[openapi.Class](t,
		p.do(post("/v1/classes", map[string]any{"name": "Farm 9500",
			"setting": map[string]any{"sled": "fescue", "gear": "2"}})), 201)
	show := map[string]any{"name": "Pull", "date": "2099-07-18", "sled": "fescue", "classes": []any{class.Id}}
	path := "/v1/shows/" + into[openapi.Show](t, p.do(post("/v1/shows", show)), 201).Id
	return &manyPeople{t: t, p: p, show: path, took: map[string][]time.Duration{}, unexpected: map[int]int{}}
}

// countedSled is the sled that everybody corrects: its notes count the corrections.
func countedSled(n int) map[string]any {
	return map[string]any{"name": "Counted", "notes": strconv.Itoa(n), "gears": []any{map[string]any{"label": "A"}}}
}

// person is one of the crowd.
type person struct {
	*manyPeople
	n     int
	draw  *rand.Rand
	http  *http.Client
	own   []string // readings that this person noted
	aside map[string]bool
}

func (c *manyPeople) person(n int) *person {
	return &person{
		manyPeople: c, n: n, draw: rand.New(rand.NewPCG(7, uint64(n))), aside: map[string]bool{},
		http: &http.Client{Transport: &http.Transport{DisableCompression: true}, Timeout: time.Minute},
	}
}

func (w *person) write(until time.Time) {
	defer w.http.CloseIdleConnections()
	for i := 0; time.Now().Before(until); i++ {
		switch kind := w.draw.IntN(10); {
		case kind < 5:
			w.note(i)
		case kind < 6:
			w.leaveOut()
		case kind < 8:
			w.correct()
		default:
			w.run()
		}
	}
}

// send sends a request as this person, notes how long it took, and returns the answer where it has the status that is
// wanted.
func (w *person) send(kind string, r request, wanted ...int) (response, bool) {
	began := time.Now()
	got, err := w.ask(r)
	took := time.Since(began)
	w.mu.Lock()
	defer w.mu.Unlock()
	if !assert.NoError(w.t, err, kind) {
		w.unexpected[0]++
		return got, false
	}
	w.took[kind] = append(w.took[kind], took)
	if !slices.Contains(wanted, got.StatusCode) {
		w.unexpected[got.StatusCode]++
		return got, assert.Contains(w.t, wanted, got.StatusCode, "%s: %s", kind, got.body)
	}
	return got, true
}

// ask sends a request over this person's own connection.
func (w *person) ask(r request) (response, error) {
	sent, err := http.NewRequest(r.method, w.p.address+r.path, bodyOf(w.t, r.body))
	if err != nil {
		return response{}, err
	}
	if r.header != nil {
		sent.Header = r.header
	}
	sent.Header.Set("Authorization", "Bearer "+testKey)
	if r.body != nil {
		sent.Header.Set("Content-Type", reply.TypeJSON)
	}
	got, err := w.http.Do(sent)
	if err != nil {
		return response{}, err
	}
	defer got.Body.Close()
	body, err := io.ReadAll(got.Body)
	if err == nil {
		holdAgainstContract(w.t, sent, got, body)
	}
	return response{got, body}, err
}

func (w *person) note(i int) {
	reading := readingOf("B", 240+float64(w.draw.IntN(400))/8)
	reading["note"] = fmt.Sprintf("person %d, number %d", w.n, i)
	got, ok := w.send("a reading",
		post("/v1/sleds/"+measuredSled(w.draw)+"/readings", reading).with("Idempotency-Key",
			fmt.Sprintf("%d-%d", w.n, i)), 201)
	if ok {
		w.readings.Add(1)
		w.own = append(w.own, into[openapi.Reading](w.t, got, 201).Id)
	}
}

// leaveOut leaves one of this person's readings out, or brings it back.
func (w *person) leaveOut() {
	if len(w.own) == 0 {
		return
	}
	id := w.own[w.draw.IntN(len(w.own))]
	reason, change := any(map[string]any{"reason": "seen to roll"}), int64(1)
	if w.aside[id] {
		reason, change = nil, -1
	}
	if _, ok := w.send("a reading left out", patch("/v1/readings/"+id, map[string]any{"set_aside": reason}), 200); ok {
		w.aside[id] = !w.aside[id]
		w.manyPeople.aside.Add(change)
		w.changed.Add(1)
	}
}

// correct adds one to the count in the sled's notes. Who is overtaken reads again; who is overtaken twice goes and does
// something else first.
func (w *person) correct() {
	for range 2 {
		got, ok := w.send("a sled read", get("/v1/sleds/counted"), 200)
		if !ok {
			return
		}
		n, err := strconv.Atoi(valueOr(into[openapi.Sled](w.t, got, 200).Notes, ""))
		require.NoError(w.t, err)
		got, ok = w.send("a sled corrected",
			put("/v1/sleds/counted", countedSled(n+1)).with("If-Match", got.Header.Get("ETag")), 200, 412)
		switch {
		case !ok:
			return
		case got.StatusCode == 200:
			w.corrected.Add(1)
			return
		}
		w.overtaken.Add(1)
	}
}

func (w *person) run() {
	line := map[string]any{"from_hook": 1 + w.draw.IntN(400), "gear": "1", "note": fmt.Sprintf("person %d", w.n)}
	if _, ok := w.send("an as-run line", post(w.show+"/classes/farm-9500/as-run", line), 201); ok {
		w.lines.Add(1)
	}
}

// everythingIsThere counts what is stored against what was acknowledged.
func (c *manyPeople) everythingIsThere() {
	t := c.t
	assert.Empty(t, c.unexpected, "answers by status")
	sled := into[openapi.Sled](t, c.p.do(get("/v1/sleds/counted")), 200)
	assert.Equal(t, fmt.Sprint(c.corrected.Load()), *sled.Notes, "a correction was lost")
	assert.EqualValues(t, c.corrected.Load()+1, sled.Revision)
	readings := allMeasured(t, c.p)
	assert.EqualValues(t, c.readings.Load(), len(readings))
	left := 0
	for _, r := range readings {
		if r.SetAside != nil {
			left++
		}
	}
	assert.EqualValues(t, c.aside.Load(), left, "readings left out")
	sheet := into[openapi.Sheet](t, c.p.do(get(c.show+"/sheet")), 200)
	assert.EqualValues(t, c.lines.Load(), len(sheet.Rows[0].AsRun))
	const before = measuredSleds + 4 // and two more sleds, a class and a show
	history := 0
	for next := "?limit=500"; next != ""; {
		page := into[openapi.HistoryPage](t, c.p.do(get("/v1/history"+next).with("Authorization", "Bearer "+testKey)),
			200)
		history += len(page.Items)
		if next = ""; page.Next != nil {
			next = "?limit=500&after=" + *page.Next
		}
	}
	assert.EqualValues(t, before+c.readings.Load()+c.changed.Load()+c.corrected.Load()+c.lines.Load(), history,
		"each write left one line of history")
	for what, count := range map[string]int64{"readings": c.readings.Load(), "corrections": c.corrected.Load(),
		"lines": c.lines.Load(), "corrections overtaken": c.overtaken.Load()} {
		assert.NotZero(t, count, what)
	}
}

// figures are how much was written, and how long it took by kind.
func (c *manyPeople) figures(long time.Duration) string {
	var b strings.Builder
	total := 0
	for _, kind := range []string{"a reading", "a reading left out", "an as-run line", "a sled corrected",
		"a sled read"} {
		took := c.took[kind]
		slices.Sort(took)
		total += len(took)
		if n := len(took); n > 0 {
			fmt.Fprintf(&b, "\n%-20s %6d  p50 %8s  p99 %8s  most %8s", kind, n, took[n/2].Round(time.Microsecond),
				took[n*99/100].Round(time.Microsecond), took[n-1].Round(time.Microsecond))
		}
	}
	return fmt.Sprintf("%d people, %d requests in %s, %.0f a second; %d corrections, %d overtaken and made again%s",
		crowdSize, total, long, float64(total)/long.Seconds(), c.corrected.Load(), c.overtaken.Load(), b.String())
}
