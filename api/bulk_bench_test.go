package main

import (
	"bufio"
	"bytes"
	"database/sql"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// BenchmarkBulk sends 200,000 readings of 100 sleds as CSV, beside the sqlite3 shell's .import of the same rows, as
// they then stand in the database, into the same tables and indexes, where the shell is installed; and takes them out
// again as one document, beside the shell writing the table as JSON. ratio is the program's time over the shell's, peak
// the most that its heap held beyond what it held before.
//
//	go test -run '^$' -bench Bulk -benchtime 3x ./api
func BenchmarkBulk(b *testing.B) {
	const sleds, readings = 100, 200_000
	dir := b.TempDir()
	csv := filepath.Join(dir, "readings.csv")
	writeReadings(b, csv, sleds, readings)
	var filled string
	b.Run("in", func(b *testing.B) {
		var took time.Duration
		most := 0.0
		for n := 0; b.Loop(); n++ {
			b.StopTimer()
			filled = filepath.Join(dir, fmt.Sprintf("in-%d.db", n))
			fillFleet(b, filled, sleds)
			address := benchProgram(b, filled)
			peak := watchHeap()
			b.StartTimer()
			began := time.Now()
			sendFile(b, "POST", address+"/v1/readings", "text/csv", csv)
			took += time.Since(began)
			b.StopTimer()
			most = max(most, peak())
			b.StartTimer()
		}
		b.ReportMetric(float64(readings)*float64(b.N)/took.Seconds(), "readings/s")
		b.ReportMetric(most/1e6, "peak-MB")
		if shell := shellImport(b, filled, dir); shell > 0 {
			b.ReportMetric(took.Seconds()/float64(b.N)/shell.Seconds(), "ratio")
		}
	})
	b.Run("out", func(b *testing.B) {
		address := benchProgram(b, filled)
		var took time.Duration
		most := 0.0
		for b.Loop() {
			peak := watchHeap()
			began := time.Now()
			request, err := http.NewRequest("GET", address+"/v1/export", nil)
			require.NoError(b, err)
			request.Header.Set("Authorization", "Bearer "+benchKey)
			response, err := client.Do(request)
			require.NoError(b, err)
			size, err := io.Copy(io.Discard, response.Body)
			require.NoError(b, err)
			require.NoError(b, response.Body.Close())
			require.Equal(b, http.StatusOK, response.StatusCode)
			took += time.Since(began)
			most = max(most, peak())
			b.ReportMetric(float64(size)/1e6, "MB")
		}
		b.ReportMetric(float64(readings)*float64(b.N)/took.Seconds(), "readings/s")
		b.ReportMetric(most/1e6, "peak-MB")
		if shell := shellExport(b, dir, "readings.json", "-json", filled, "SELECT * FROM readings"); shell > 0 {
			b.ReportMetric(took.Seconds()/float64(b.N)/shell.Seconds(), "ratio")
		}
	})
	b.Run("lists", func(b *testing.B) {
		address := benchProgram(b, filled)
		var took time.Duration
		most := 0.0
		for b.Loop() {
			peak := watchHeap()
			began := time.Now()
			for sled := range sleds {
				response, err := client.Get(fmt.Sprintf("%s/v1/sleds/sled-%d/readings.csv", address, sled+1))
				require.NoError(b, err)
				_, err = io.Copy(io.Discard, response.Body)
				require.NoError(b, err)
				require.NoError(b, response.Body.Close())
				require.Equal(b, http.StatusOK, response.StatusCode)
			}
			took += time.Since(began)
			most = max(most, peak())
		}
		b.ReportMetric(float64(readings)*float64(b.N)/took.Seconds(), "readings/s")
		b.ReportMetric(most/1e6, "peak-MB")
		var lists strings.Builder
		for sled := range sleds {
			fmt.Fprintf(&lists, "SELECT start_ft, distance_ft, ended, end_ft, plus_minus_ft, measured_on, day, place, "+
				"noted_by, note, marked_by, taken_with, surface, weights, tire_psi, speed_mph, g.label FROM readings "+
				"r JOIN gears g ON g.id = r.gear_id WHERE r.sled_id = 'sled-%d' AND set_aside_at IS NULL "+
				"ORDER BY measured_on, seq;\n", sled+1)
		}
		if shell := shellExport(b, dir, "lists.csv", "-csv", filled, lists.String()); shell > 0 {
			b.ReportMetric(took.Seconds()/float64(b.N)/shell.Seconds(), "ratio")
		}
	})
}

// shellExport lets the sqlite3 shell write to a file. It is 0 where the shell is not installed.
func shellExport(b *testing.B, dir, name string, arguments ...string) time.Duration {
	b.Helper()
	shell, err := exec.LookPath("sqlite3")
	if err != nil {
		b.Log("the sqlite3 shell is not installed (package sqlite3): no ratio")
		return 0
	}
	file, err := os.Create(filepath.Join(dir, name))
	require.NoError(b, err)
	defer file.Close()
	command := exec.Command(shell, arguments...)
	command.Stdout = file
	began := time.Now()
	require.NoError(b, command.Run())
	return time.Since(began)
}

func writeReadings(b *testing.B, name string, sleds, readings int) {
	b.Helper()
	file, err := os.Create(name)
	require.NoError(b, err)
	w := bufio.NewWriter(file)
	fmt.Fprintln(w, "sled,gear,start_ft,distance_ft,measured_on,place,by")
	for i := range readings {
		fmt.Fprintf(w, "sled-%d,%c,%d,%.1f,20%02d-%02d-%02d,Little Whatnot flats,crew notes\n", i%sleds+1,
			'A'+rune(i/sleds%5), i/500%3*2,
			270-12*float64(i/sleds%5)-16*float64(i/500%3)+float64(i*7919%89)/20, i/20_000%20+1, i/1500%12+1, i/100%28+1)
	}
	require.NoError(b, w.Flush())
	require.NoError(b, file.Close())
}

func sendFile(b *testing.B, method, address, contentType, name string) {
	b.Helper()
	file, err := os.Open(name)
	require.NoError(b, err)
	defer file.Close()
	request, err := http.NewRequest(method, address, file)
	require.NoError(b, err)
	request.Header.Set("Authorization", "Bearer "+benchKey)
	request.Header.Set("Content-Type", contentType)
	response, err := client.Do(request)
	require.NoError(b, err)
	defer response.Body.Close()
	body, err := io.ReadAll(response.Body)
	require.NoError(b, err)
	require.Equal(b, http.StatusCreated, response.StatusCode, "%.500s", body)
}

// watchHeap watches the heap until it is asked how much more it held at most, in bytes.
func watchHeap() (peak func() float64) {
	before := heap()
	var most atomic.Uint64
	done, stopped := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(stopped)
		var m runtime.MemStats
		for {
			runtime.ReadMemStats(&m)
			most.Store(max(most.Load(), m.HeapAlloc))
			select {
			case <-done:
				return
			case <-time.After(20 * time.Millisecond):
			}
		}
	}()
	return func() float64 {
		close(done)
		<-stopped
		return float64(most.Load()) - float64(before)
	}
}

// shellImport lets the sqlite3 shell import the rows of a database's readings into a copy of it without them, in one
// transaction as .import does, with the program's settings for safety. It is 0 where the shell is not installed.
func shellImport(b *testing.B, filled, dir string) time.Duration {
	b.Helper()
	shell, err := exec.LookPath("sqlite3")
	if err != nil {
		b.Log("the sqlite3 shell is not installed (package sqlite3): no ratio")
		return 0
	}
	bare, rows := filepath.Join(dir, "shell.db"), filepath.Join(dir, "rows.csv")
	run := func(lines ...string) {
		command := exec.Command(shell, bare)
		var in bytes.Buffer
		for _, line := range lines {
			fmt.Fprintln(&in, line)
		}
		command.Stdin = &in
		out, err := command.CombinedOutput()
		require.NoError(b, err, "%s", out)
		require.NotContains(b, string(out), "rror")
	}
	require.NoError(b, exec.Command(shell, filled, "VACUUM INTO '"+bare+"'").Run())
	run(".mode csv", ".headers off", ".nullvalue \"\"", ".output "+rows, "SELECT * FROM readings;", ".output",
		"DELETE FROM readings;", "VACUUM;")
	began := time.Now()
	// What is nothing it imports as an empty text, which the table's checks refuse.
	run("PRAGMA journal_mode = WAL;", "PRAGMA synchronous = FULL;", "PRAGMA ignore_check_constraints = ON;",
		".import --csv "+rows+" readings")
	took := time.Since(began)
	db, err := sql.Open("sqlite3", bare)
	require.NoError(b, err)
	defer db.Close()
	var n int
	require.NoError(b, db.QueryRow("SELECT COUNT(*) FROM readings").Scan(&n))
	require.Positive(b, n)
	return took
}
