package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"net"
	"net/url"
	"strings"
	"unicode"
	"unicode/utf8"

	"evenpull/internal/calibrate"
)

// settings are everything that can be set from outside. Each flag has an environment variable of the same name:
// --public-url is EVENPULL_PUBLIC_URL. A flag beats its variable.
type settings struct {
	// Addr is where to listen, host:port. Port 0 takes any free one.
	Addr string
	// DB is the SQLite file; it is made when it is not there.
	DB string
	// Demo loads the invented demo fleet, into an empty database only.
	Demo bool
	// PublicURL is where the pages are seen from outside, for links that leave them, the QR code among them. Empty when not
	// known.
	PublicURL string
	// ManagerKey is a manager key that is valid as long as it is set. It has no flag, because the command line of
	// a program can be read by others on the machine.
	ManagerKey string
	// Assumed is what is assumed of how repeatable measuring is, until the fleet has shown it. Our own
	// assumption, without a source (see "How it is worked out").
	Assumed calibrate.Assumption
	// CheckHealth asks the program that runs at Addr whether it is alive, and ends: for a container's HEALTHCHECK.
	CheckHealth bool
}

// Defaults of what is assumed of repeatability: 100 times the sd of the logarithm, and the degrees of freedom
// that this is worth.
var usualAssumption = calibrate.Assumption{DayPct: 1.0, ReadingPct: 0.7, DF: 4}

// Limits of a manager key that is set from outside, in characters.
const (
	minKeyLength = 20
	maxKeyLength = 200
)

// flags names every flag of s and gives the defaults.
func (s *settings) flags() *flag.FlagSet {
	f := flag.NewFlagSet("evenpull", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	f.StringVar(&s.Addr, "addr", "127.0.0.1:8080", "where to listen, `host:port`")
	f.StringVar(&s.DB, "db", "evenpull.db", "the SQLite `file`, made when it is not there")
	f.BoolVar(&s.Demo, "demo", false, "load an invented fleet into an empty database; any other is left alone")
	f.StringVar(&s.PublicURL, "public-url", "", "the `URL` at which the pages are seen from outside")
	f.Float64Var(&s.Assumed.DayPct, "assume-day-pct", usualAssumption.DayPct, "assumed spread from one test day to the next, in `per cent`")
	f.Float64Var(&s.Assumed.ReadingPct, "assume-reading-pct", usualAssumption.ReadingPct, "assumed spread of readings within a day, in `per cent`")
	f.Float64Var(&s.Assumed.DF, "assume-df", usualAssumption.DF, "`degrees of freedom` that the assumption is worth beside what was measured")
	f.BoolVar(&s.CheckHealth, "check-health", false, "ask the program at --addr whether it is alive, and end with 0 or 1")
	return f
}

// readSettings reads the command line and the environment. It returns flag.ErrHelp when help was asked for.
func readSettings(args []string, getenv func(string) string) (settings, error) {
	var s settings
	f := s.flags()
	if err := f.Parse(args); err != nil {
		return s, err
	}
	if f.NArg() > 0 {
		return s, fmt.Errorf("%q is not known here; see --help", f.Arg(0))
	}
	given := map[string]bool{}
	f.Visit(func(one *flag.Flag) { given[one.Name] = true })
	var faults []error
	f.VisitAll(func(one *flag.Flag) {
		name := variable(one.Name)
		if value := getenv(name); value != "" && !given[one.Name] && one.Name != "check-health" {
			if err := f.Set(one.Name, value); err != nil {
				faults = append(faults, fmt.Errorf("%s cannot be %q", name, value))
			}
		}
	})
	s.ManagerKey = getenv("EVENPULL_MANAGER_KEY")
	return s, errors.Join(append(faults, s.check())...)
}

// variable is the environment variable of a flag.
func variable(flag string) string {
	return "EVENPULL_" + strings.ToUpper(strings.ReplaceAll(flag, "-", "_"))
}

func (s settings) check() error {
	var faults []error
	if _, _, err := net.SplitHostPort(s.Addr); err != nil {
		faults = append(faults, fmt.Errorf("--addr must be host:port, such as 127.0.0.1:8080, not %q", s.Addr))
	}
	switch {
	case s.DB == "":
		faults = append(faults, errors.New("--db must name a file"))
	case strings.HasPrefix(s.DB, "postgres://") || strings.HasPrefix(s.DB, "postgresql://"):
		faults = append(faults, errors.New("--db must be a SQLite file; a database server cannot be used yet"))
	}
	if s.PublicURL != "" {
		if err := checkPublicURL(s.PublicURL); err != nil {
			faults = append(faults, err)
		}
	}
	for _, n := range []struct {
		flag        string
		value, most float64
	}{{"assume-day-pct", s.Assumed.DayPct, 50}, {"assume-reading-pct", s.Assumed.ReadingPct, 50}} {
		if math.IsNaN(n.value) || n.value <= 0 || n.value > n.most {
			faults = append(faults, fmt.Errorf("--%s must be above 0 and at most %g, not %g", n.flag, n.most, n.value))
		}
	}
	if df := s.Assumed.DF; math.IsNaN(df) || df < 0 || df > 1000 {
		faults = append(faults, fmt.Errorf("--assume-df must be 0 to 1000, not %g; 0 trusts what was measured alone", df))
	}
	return errors.Join(faults...)
}

// maxPublicURL keeps every link short enough for a QR code: the longest id of a show, percent-encoded, takes up most of it.
const maxPublicURL = 200

// checkPublicURL refuses what no link can be made of, and a password, which would end up in every link.
func checkPublicURL(text string) error {
	u, err := url.Parse(text)
	switch {
	case err != nil, u.Host == "", u.Scheme != "http" && u.Scheme != "https":
		return fmt.Errorf("--public-url must be an address like https://sleds.example, not %q", text)
	case u.User != nil, u.RawQuery != "", u.ForceQuery, u.Fragment != "":
		return errors.New("--public-url must be an address alone, without a user, a query or a fragment")
	case len(text) > maxPublicURL:
		return fmt.Errorf("--public-url can be up to %d characters long, not %d", maxPublicURL, len(text))
	}
	return nil
}

// checkManagerKey says what is wrong with a key that is set from outside. It never shows the key.
func checkManagerKey(key string) error {
	n := utf8.RuneCountInString(key)
	unprintable := func(r rune) bool { return !unicode.IsPrint(r) || r == utf8.RuneError }
	if n < minKeyLength || n > maxKeyLength || strings.ContainsFunc(key, unprintable) || strings.TrimSpace(key) != key {
		return fmt.Errorf("EVENPULL_MANAGER_KEY must be %d to %d printable characters, without space around them", minKeyLength, maxKeyLength)
	}
	return nil
}

// usage is what --help prints.
func usage() string {
	var b strings.Builder
	b.WriteString("Evenpull: which gear on another sled tops out nearest. Settings, each with its environment variable:\n\n")
	f := new(settings).flags()
	f.VisitAll(func(one *flag.Flag) {
		what, text := flag.UnquoteUsage(one)
		fmt.Fprintf(&b, "  --%s %s\n      %s", one.Name, what, text)
		if one.Name != "check-health" {
			fmt.Fprintf(&b, " (%s; default %q)", variable(one.Name), one.DefValue)
		}
		b.WriteByte('\n')
	})
	fmt.Fprintf(&b, "\n  EVENPULL_MANAGER_KEY\n      a manager key of %d to %d printable characters, valid as long as it is set\n", minKeyLength, maxKeyLength)
	return b.String()
}
