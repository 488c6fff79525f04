package main

import (
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"evenpull/internal/store/storetest"
)

// BenchmarkInstances asks two programs over one PostgreSQL database, by turns, and one program over a file:
//
//   - every answer of BenchmarkAnswer, written at one program and asked at both
//   - written elsewhere: of a fleet of 100 sleds a reading is set aside at one and asked about at the other, which must
//     give what stands; with a file both are the same program
//   - start: a third program until it answers /readyz and a first question
//   - in bulk: 20,000 readings as CSV
//
// The server is one of the benchmark's own on this machine and waits for the disk at each commit.
//
//	go test -run '^$' -bench 'Instances/.*/[^i]' -benchtime 100x ./api
//	go test -run '^$' -bench 'Instances/.*/in_bulk' -benchtime 5x ./api
func BenchmarkInstances(b *testing.B) {
	file := filepath.Join(b.TempDir(), "fleet.db")
	for _, of := range []struct{ name, one, two string }{
		{"a file", file, ""},
		{"a server", storetest.Postgres(b).URL(b), "the same"},
	} {
		fillFleet(b, of.one, 100)
		b.Run(of.name, func(b *testing.B) {
			here := benchProgram(b, of.one)
			there := here
			if of.two != "" {
				there = benchProgram(b, of.one)
			}
			b.Run("written elsewhere", func(b *testing.B) { writtenElsewhere(b, here, there) })
			if of.two != "" { // of a file there is no third, nor a second
				b.Run("start", func(b *testing.B) { startedBeside(b, of.one) })
				everyAnswer(b, func(b *testing.B) []string {
					db := storetest.Postgres(b).URL(b)
					return []string{benchProgram(b, db, "--demo"), benchProgram(b, db)}
				})
			}
			b.Run("in bulk", func(b *testing.B) { inBulk(b, here) })
		})
	}
}

const onceMeasured = "/v1/equivalents?sled=sled-1&gear=C&on=sled-2"

func writtenElsewhere(b *testing.B, here, there string) {
	writes := fidgetOn(b, here, "sled-1")
	question := dialled(b, there, onceMeasured, "")
	require.NoError(b, question.ask())
	was := ""
	var write, asked []time.Duration
	for b.Loop() {
		began := time.Now()
		writes.write(b)
		between := time.Now()
		require.NoError(b, question.ask())
		write, asked = append(write, between.Sub(began)), append(asked, time.Since(between))
		require.NotEqual(b, was, string(question.body), "an answer older than the last write")
		was = string(question.body)
	}
	reportTimes(b, "write-", write)
	reportTimes(b, "answer-", asked)
}

func startedBeside(b *testing.B, db string) {
	var ready, first []time.Duration
	for b.Loop() {
		began := time.Now()
		address := benchProgram(b, db)
		askOnce(b, address, "/readyz")
		ready = append(ready, time.Since(began))
		askOnce(b, address, onceMeasured)
		first = append(first, time.Since(began))
	}
	reportTimes(b, "ready-", ready)
	reportTimes(b, "first-answer-", first)
}

func inBulk(b *testing.B, address string) {
	const sleds, readings = 100, 20_000
	csv := filepath.Join(b.TempDir(), "readings.csv")
	writeReadings(b, csv, sleds, readings)
	var took time.Duration
	for b.Loop() {
		began := time.Now()
		sendFile(b, "POST", address+"/v1/readings", "text/csv", csv)
		took += time.Since(began)
	}
	b.ReportMetric(float64(readings)*float64(b.N)/took.Seconds(), "readings/s")
}
