package book

import (
	"flag"
	"log"
	"os"
	"testing"

	_ "pgregory.net/rapid" // has the flag
)

// Without CI=true the tests with random input draw 30 of it each instead of 100; most write to a database each time.
// The flag -rapid.checks, where it is given, has the last word.
func TestMain(m *testing.M) {
	flag.Parse()
	given := false
	flag.Visit(func(f *flag.Flag) { given = given || f.Name == "rapid.checks" })
	if !given && os.Getenv("CI") != "true" {
		if err := flag.Set("rapid.checks", "30"); err != nil {
			log.Fatal(err)
		}
	}
	os.Exit(m.Run())
}
