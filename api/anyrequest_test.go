package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"text/tabwriter"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/store/storetest"
	"evenpull/openapi"
)

// Whatever is sent, the program goes on, and every answer is one that the contract describes. The requests are made
// from the contract, valid ones and spoiled ones. EVENPULL_REQUESTS says how many, EVENPULL_SEED which.
func TestAnyRequest_GetsAnAnswerOfTheContract(t *testing.T) {
	t.Parallel()
	const clients = 4
	requests, seed := requestsWanted(t), numberFrom(t, "EVENPULL_SEED", 1)
	t.Logf("%d requests, EVENPULL_SEED=%d", requests, seed)
	p := spawn(t, storetest.DB(t), "--demo", "--public-url", publicURL)
	drawn := newTally(operationsOf(t))
	memory := &watermark{p: p}
	var all sync.WaitGroup
	for n := range clients {
		c := &caller{
			anything: &anything{rand.New(rand.NewPCG(uint64(seed),
				uint64(n)))}, p: p.program, known: newKnown(), drawn: drawn,
			http: &http.Client{Transport: &http.Transport{DisableCompression: true},
				CheckRedirect: client.CheckRedirect, Timeout: client.Timeout},
		}
		all.Go(func() {
			defer c.http.CloseIdleConnections()
			c.lookAround()
			for i := 0; i < requests/clients && !drawn.enough(); i++ {
				c.once()
				if i%1000 == 0 && n == 0 {
					memory.look(t)
				}
			}
		})
	}
	all.Wait()
	t.Logf("the heap was %d MiB at most\n%s", memory.most>>20, drawn.table())
	for line := range strings.Lines(p.stderr.String()) {
		if strings.Contains(line, "request failed") {
			t.Log(line)
		}
	}
	require.Empty(t, drawn.misfits)
	assert.Less(t, memory.most, uint64(512<<20), "memory does not grow with what was asked")

	everythingCanBeComputed(t, p.program)
	drawn.carryOver(t, p.program)
	for _, op := range drawn.operations {
		if requests >= 20_000 { // fewer need not come to everything
			assert.NotZero(t, drawn.with(op, 200, 399), "%s never succeeded", op.id)
			assert.NotZero(t, drawn.with(op, 400, 499), "%s was never refused", op.id)
		}
	}
	assert.Equal(t, exitWell, p.stop())
	for _, never := range append([]string{"panic", "DATA RACE", testKey}, drawn.secrets...) {
		assert.NotContains(t, p.stderr.String(), never)
	}
}

func requestsWanted(t *testing.T) int {
	usual := 3000
	if inFull() {
		usual = 100_000
	}
	return numberFrom(t, "EVENPULL_REQUESTS", usual)
}

func numberFrom(t *testing.T, variable string, usual int) int {
	t.Helper()
	text := os.Getenv(variable)
	if text == "" {
		return usual
	}
	n, err := strconv.Atoi(text)
	require.NoError(t, err, variable)
	return n
}

// anyOperation is an operation of the contract, as the generator sees it.
type anyOperation struct {
	*openapi3.Operation
	id, method, path string
	parameters       []*openapi3.Parameter
	secured          bool
	share            float64 // how often it is drawn, beside 1 for most
}

// shares of operations that are drawn more often, because the rest depends on them, or less, because they cost more.
var shares = map[string]float64{
	"addSled": 2, "putSled": 2, "addReading": 4, "patchReading": 2, "addClass": 2, "addShow": 2, "addAsRun": 3,
	"putOutcome": 2, "addReadings": 2, "putShow": 2,
	"deleteSled": 0.4, "deleteClass": 0.4, "deleteShow": 0.4, "deleteAsRun": 0.4, "drawChart": 0.3,
	"drawLadders": 0.2, "drawDays": 0.3, "drawQR": 0.3,
	"getTable": 0.4, "getPartOptions": 0.7, "getHowAlike": 0.4, "getCandidates": 0.5, "getSeason": 0.4,
	"exportFleet": 0.02, "importFleet": 0.1, "addKey": 0.2, "endKey": 0.2,
	"signIn": 0.3, "signOut": 0.2, "getHealth": 0.2, "getReady": 0.2, "getContract": 0.1,
}

func operationsOf(t *testing.T) []anyOperation {
	t.Helper()
	doc, err := openapi3.NewLoader().LoadFromData(openapi.Document)
	require.NoError(t, err)
	require.NoError(t, doc.Validate(context.Background()))
	var all []anyOperation
	for path, item := range doc.Paths.Map() {
		for method, op := range item.Operations() {
			one := anyOperation{Operation: op, id: op.OperationID, method: method, path: path, share: 1}
			one.secured = op.Security != nil && len(*op.Security) > 0 && !slices.ContainsFunc(*op.Security,
				func(r openapi3.SecurityRequirement) bool { return len(r) == 0 })
			for _, ref := range append(append(openapi3.Parameters{}, item.Parameters...), op.Parameters...) {
				one.parameters = append(one.parameters, ref.Value)
			}
			if share, given := shares[one.id]; given {
				one.share = share
			}
			all = append(all, one)
		}
	}
	slices.SortFunc(all, func(a, b anyOperation) int { return strings.Compare(a.id, b.id) })
	return all
}

// tally counts what came back, by operation and status, and keeps what does not fit.
type tally struct {
	operations []anyOperation
	total      float64 // of the shares
	mu         sync.Mutex
	count      map[string]map[int]int
	misfits    []string
	secrets    []string // every key that was made
}

func newTally(operations []anyOperation) *tally {
	all := &tally{operations: operations, count: map[string]map[int]int{}}
	for _, op := range operations {
		all.count[op.id] = map[int]int{}
		all.total += op.share
	}
	return all
}

func (c *tally) add(id string, status int, misfits []string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.count[id][status]++
	c.misfits = append(c.misfits, misfits...)
}

// enough says that so much does not fit that more would not help.
func (c *tally) enough() bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	return len(c.misfits) >= 20
}

func (c *tally) with(op anyOperation, from, to int) (n int) {
	for status, count := range c.count[op.id] {
		if status >= from && status <= to {
			n += count
		}
	}
	return n
}

func (c *tally) table() string {
	statuses := map[int]bool{}
	for _, count := range c.count {
		for status := range count {
			statuses[status] = true
		}
	}
	var columns []int
	for status := range statuses {
		columns = append(columns, status)
	}
	slices.Sort(columns)
	var b strings.Builder
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprint(w, "operation\t")
	for _, status := range columns {
		fmt.Fprintf(w, "%d\t", status)
	}
	fmt.Fprintln(w)
	for _, op := range c.operations {
		fmt.Fprintf(w, "%s\t", op.id)
		for _, status := range columns {
			fmt.Fprintf(w, "%d\t", c.count[op.id][status])
		}
		fmt.Fprintln(w)
	}
	w.Flush()
	return b.String()
}

// watermark is the most memory that the program was seen to use for what it holds.
type watermark struct {
	p    *process
	most uint64
}

var heapInUse = regexp.MustCompile(`(?m)^go_memstats_heap_inuse_bytes (\S+)$`)

func (w *watermark) look(t *testing.T) {
	r, err := http.NewRequest("GET", w.p.address+"/metrics", nil)
	if !assert.NoError(t, err) {
		return
	}
	r.Header.Set("Authorization", "Bearer "+testKey)
	got, err := client.Do(r)
	if !assert.NoError(t, err) {
		return
	}
	defer got.Body.Close()
	body, _ := io.ReadAll(got.Body)
	found := heapInUse.FindSubmatch(body)
	if assert.NotNil(t, found, "%s", body) {
		bytes, _ := strconv.ParseFloat(string(found[1]), 64)
		w.most = max(w.most, uint64(bytes))
	}
}

// everythingCanBeComputed asks for every chart and every sheet.
func everythingCanBeComputed(t *testing.T, p *program) {
	t.Helper()
	asked := 0
	for _, list := range []struct{ path, then string }{{"/v1/sleds", "/chart"}, {"/v1/sleds", "/days"},
		{"/v1/shows", "/sheet"}} {
		for next := ""; ; {
			type page struct {
				Items []struct{ ID string }
				Next  *string
			}
			some := into[page](t, p.do(get(list.path+"?limit=500"+next)), 200)
			for _, one := range some.Items {
				got := p.do(get(list.path + "/" + url.PathEscape(one.ID) + list.then))
				assert.Equal(t, http.StatusOK, got.StatusCode, "%s of %q: %s", list.then, one.ID, got.body)
				asked++
			}
			if some.Next == nil {
				break
			}
			next = "&after=" + url.QueryEscape(*some.Next)
		}
	}
	assert.Greater(t, asked, 20)
}

// carryOver takes the fleet as all these requests have left it to an empty installation, where importing can succeed,
// and loads the demo into another.
func (c *tally) carryOver(t *testing.T, p *program) {
	t.Helper()
	manager := func(r request) request { return r.with("Authorization", "Bearer "+testKey) }
	was := p.do(manager(get("/v1/export")))
	require.Equal(t, http.StatusOK, was.StatusCode)
	c.add("exportFleet", p.do(get("/v1/export")).StatusCode, nil)
	empty := start(t)
	another := start(t)
	c.add("loadDemo", another.do(post("/v1/demo", nil)).StatusCode, nil)
	c.add("removeDemo", another.do(remove("/v1/demo")).StatusCode, nil)
	in := empty.do(post("/v1/import", was.body))
	assert.Equal(t, http.StatusOK, in.StatusCode, "%s", in.body)
	c.add("importFleet", in.StatusCode, nil)
	is := empty.do(manager(get("/v1/export")))
	assert.True(t, bytes.Equal(was.body, is.body), "what was exported, imported and exported is the same again")
	everythingCanBeComputed(t, empty)
	c.give(p, another)
}

// give takes every sled that has an owner to an installation without any.
func (c *tally) give(p, another *program) {
	for _, s := range into[openapi.SledPage](p.t, p.do(get("/v1/sleds?limit=500")), 200).Items {
		given := p.do(get("/v1/sleds/"+url.PathEscape(s.Id)+"/export").with("Authorization", "Bearer "+testKey))
		c.add("exportSled", given.StatusCode, nil)
		if given.StatusCode != http.StatusOK {
			continue
		}
		in := another.do(post("/v1/sleds/import", given.body))
		assert.Equal(p.t, http.StatusOK, in.StatusCode, "%s", in.body)
		c.add("importSled", in.StatusCode, nil)
	}
}

// shot is one request as it was sent, to be told when its answer does not fit.
type shot struct {
	op     anyOperation
	method string
	path   string // escaped
	query  string
	header http.Header
	body   []byte
	wrong  string // what was made wrong about it; empty for nothing
	bare   bool   // without a key that is valid
}

func (s shot) String() string {
	body := string(s.body)
	if len(body) > 2000 {
		body = body[:2000] + "…"
	}
	header, _ := json.Marshal(s.header)
	return fmt.Sprintf("%s (%s)\n%s %s?%s\n%s\n%q", s.op.id, s.wrong, s.method, s.path, s.query, header, body)
}
