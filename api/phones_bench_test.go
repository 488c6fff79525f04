package main

import (
	"fmt"
	"hash/fnv"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

const (
	phones     = 1000
	phonesFor  = 30 * time.Second
	everySoOft = time.Second // each phone asks about as often
)

// BenchmarkPhones lets a thousand phones ask for the same answer for half a minute, each about once a second on a
// connection of its own, while a reading is written every second; then they ask a bare Echo route the same. No question
// may fail, and none may get an answer older than the last write that was acknowledged before it was asked.
//
//	go test -run '^$' -bench Phones -benchtime 1x ./api
func BenchmarkPhones(b *testing.B) {
	const question = "/v1/equivalents?sled=bluestem&gear=C&on=fescue&on=timothy"
	for b.Loop() {
		address := benchProgram(b, filepath.Join(b.TempDir(), "fleet.db"), "--demo")
		writes := &numbered{address: address, question: dialled(b, address, question, ""), of: map[uint64]int{}}
		writes.look(b, time.Now())
		stop := make(chan struct{})
		var writing sync.WaitGroup
		writing.Go(func() { writes.everySecond(b, stop) })
		asks := crowdAsks(b, address, question)
		close(stop)
		writing.Wait()
		writes.check(b, asks)
		took := make([]time.Duration, len(asks))
		for i, a := range asks {
			took[i] = a.took
		}
		reportTimes(b, "", took)
		b.ReportMetric(float64(len(asks))/phonesFor.Seconds(), "answers/s")

		first, err := client.Get(address + question)
		require.NoError(b, err)
		body, err := io.ReadAll(first.Body)
		require.NoError(b, err)
		require.NoError(b, first.Body.Close())
		bare := httptest.NewServer(bareRoute(question, first.Header, body))
		asks = crowdAsks(b, bare.URL, question)
		bare.Close()
		took = took[:0]
		for _, a := range asks {
			took = append(took, a.took)
		}
		reportTimes(b, "bare-", took)
	}
}

// ask is one question: when it began, how long it took, and which answer came.
type ask struct {
	began  time.Time
	took   time.Duration
	answer uint64
}

func crowdAsks(b *testing.B, address, question string) []ask {
	b.Helper()
	all := make([][]ask, phones)
	until := time.Now().Add(phonesFor)
	var wg sync.WaitGroup
	for i := range phones {
		c := dialled(b, address, question, "")
		wg.Go(func() {
			rng := rand.New(rand.NewPCG(uint64(i), 1))
			for {
				time.Sleep(time.Duration(rng.Float64() * 2 * float64(everySoOft)))
				began := time.Now()
				if began.After(until) {
					return
				}
				if err := c.ask(); err != nil {
					b.Errorf("phone %d: %v", i, err)
					return
				}
				if c.status != http.StatusOK {
					b.Errorf("phone %d got %d", i, c.status)
				}
				all[i] = append(all[i], ask{began, time.Since(began), sumOf(c.body)})
			}
		})
	}
	wg.Wait()
	var asks []ask
	for _, of := range all {
		asks = append(asks, of...)
	}
	return asks
}

func sumOf(body []byte) uint64 {
	h := fnv.New64a()
	h.Write(body)
	return h.Sum64()
}

// numbered writes readings that each make another answer, and knows after which one an answer was given.
type numbered struct {
	address  string
	question *connection
	of       map[uint64]int
	done     []time.Time // when each was acknowledged
}

// look notes the answer as it is after the last write.
func (n *numbered) look(b *testing.B, acknowledged time.Time) {
	if err := n.question.ask(); err != nil {
		b.Error(err)
		return
	}
	n.of[sumOf(n.question.body)] = len(n.done)
	n.done = append(n.done, acknowledged)
}

func (n *numbered) everySecond(b *testing.B, stop <-chan struct{}) {
	tick := time.NewTicker(time.Second)
	defer tick.Stop()
	for i := 0; ; i++ {
		select {
		case <-stop:
			return
		case <-tick.C:
		}
		body := fmt.Sprintf(`{"gear":"C","distance_ft":%g,"measured_on":"2026-05-09"}`, 250+float64(i)/7)
		request, err := http.NewRequest("POST", n.address+"/v1/sleds/bluestem/readings", strings.NewReader(body))
		if err != nil {
			b.Error(err)
			return
		}
		request.Header.Set("Authorization", "Bearer "+benchKey)
		request.Header.Set("Content-Type", "application/json")
		response, err := client.Do(request)
		if err != nil {
			b.Error(err)
			return
		}
		acknowledged := time.Now()
		response.Body.Close()
		if response.StatusCode != http.StatusCreated {
			b.Errorf("a write got %d", response.StatusCode)
		}
		n.look(b, acknowledged)
	}
}

// check holds every answer against the writes that were acknowledged before it was asked for.
func (n *numbered) check(b *testing.B, asks []ask) {
	b.Helper()
	require.Len(b, n.of, len(n.done), "every write makes another answer")
	require.Greater(b, len(n.done), 10)
	for _, a := range asks {
		after, known := n.of[a.answer]
		require.True(b, known, "an answer that was right at no time")
		if after+1 < len(n.done) {
			require.False(b, n.done[after+1].Before(a.began),
				"an answer older than the last write before it was asked for")
		}
	}
}
