package main

import (
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"net"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/api/internal/reply"
	"evenpull/internal/book"
	"evenpull/internal/store"
	"evenpull/internal/store/storetest"
	"evenpull/openapi"
)

// Readers of a long list who take it slowly take up a part of it each. It is not parallel: the heap is everybody's.
func TestLists_AsCSVAreNeverWholeInMemory(t *testing.T) {
	p := start(t)
	into[openapi.Sled](t, p.do(post("/v1/sleds", map[string]any{"name": "Brome",
		"gears": []map[string]any{{"label": "A"}, {"label": "B"}}})), 201)
	const readings, readers = 20_000, 12
	var rows strings.Builder
	rows.WriteString("sled,gear,start_ft,distance_ft,measured_on,note\n")
	for i := range readings {
		fmt.Fprintf(&rows, "brome,%c,%d,%.1f,2025-%02d-%02d,%s\n", 'A'+i%2, i%3, 240+float64(i%97)/10, i/28%12+1,
			i%28+1, strings.Repeat("rained before ", 10))
	}
	require.Equal(t, 201, p.do(csvPost("/v1/readings", rows.String())).StatusCode)
	rows.Reset()

	p.do(get("/v1/sleds/brome/readings.csv"))
	before := heap()
	for range readers {
		conn, err := net.Dial("tcp", strings.TrimPrefix(p.address, "http://"))
		require.NoError(t, err)
		defer conn.Close()
		require.NoError(t, conn.(*net.TCPConn).SetReadBuffer(4096))
		_, err = io.WriteString(conn,
			"GET /v1/sleds/brome/readings.csv HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")
		require.NoError(t, err)
		head := make([]byte, len("HTTP/1.1 200"))
		_, err = io.ReadFull(conn, head)
		require.NoError(t, err)
		require.Equal(t, "HTTP/1.1 200", string(head))
	}
	assert.Eventually(t, func() bool { return float64(heap())-float64(before) < readers*400e3 }, readerPatience*2/3,
		100*time.Millisecond, "each holds more than a tenth of a list of 4 MB once it waits for its reader")

	got := p.do(get("/v1/sleds/brome/readings.csv"))
	assert.Equal(t, readings+1, strings.Count(string(got.body), "\r\n"))
	assert.Equal(t, 304, p.do(get("/v1/sleds/brome/readings.csv").with("If-None-Match",
		got.Header.Get("ETag"))).StatusCode)
	into[openapi.Reading](t, p.do(post("/v1/sleds/brome/readings", map[string]any{"gear": "A", "start_ft": 0,
		"distance_ft": 241, "measured_on": "2025-12-30"})), 201)
	changed := p.do(get("/v1/sleds/brome/readings.csv").with("If-None-Match", got.Header.Get("ETag")))
	assert.Equal(t, 200, changed.StatusCode)
	assert.Equal(t, readings+2, strings.Count(string(changed.body), "\r\n"))
}

// Two readers of one list at one revision, of whom one chose its columns before a write made them more: neither gets
// the other's rows.
func TestLists_AsCSVHaveRowsOfTheirOwnColumns(t *testing.T) {
	t.Parallel()
	st, err := store.Open(context.Background(), storetest.DB(t), store.Options{})
	require.NoError(t, err)
	t.Cleanup(func() { assert.NoError(t, st.Close()) })
	b := book.New(st, book.Options{Assumed: usualAssumption})
	s := &server{
		book: b, listParts: reply.NewCache(partBytes, b.Revision, time.Now, nil),
		streams: reply.NewStreams(readerPatience, compressedAtOnce),
	}
	for _, cells := range []int{3, 2, 3} {
		to := httptest.NewRecorder()
		row := []string{"a", "b", "c"}[:cells]
		require.NoError(t, sendSpreadsheet(s, echo.New().NewContext(httptest.NewRequest("GET", "/list.csv", nil), to),
			spreadsheetOf[int]{heading: row, row: func(int) []string { return row },
				part: func(string, int) ([]int, string, error) { return []int{1, 2}, "", nil }}))
		rows, err := csv.NewReader(to.Body).ReadAll()
		require.NoError(t, err)
		assert.Equal(t, [][]string{row, row, row}, rows)
	}
}
