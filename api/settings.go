package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"net"
	"net/url"
	"strings"
	"unicode"
	"unicode/utf8"

	"evenpull/internal/calibrate"
	"evenpull/internal/store"
)

// settings are everything that can be set from outside. Each flag has an environment variable of the same name:
// --public-url is EVENPULL_PUBLIC_URL. A flag beats its variable.
type settings struct {
	// Addr is where to listen, host:port. Port 0 takes any free one.
	Addr string
	// DB is the SQLite file, made when it is not there, or the URL of a PostgreSQL database, which may hold a password.
	DB string
	// Demo loads the invented demo fleet, into an empty database only.
	Demo bool
	// PublicURL is where the pages are seen from outside, for links that leave them, the QR code among them. Empty when
	// not known.
	PublicURL string
	// Private closes reading as well to who has no key.
	Private bool
	// ReadRate and WriteRate are how many requests a second one address may make, 0 for as many as it likes.
	ReadRate, WriteRate float64
	// TLSCert and TLSKey are PEM files, both or none: with them the program speaks HTTPS itself.
	TLSCert, TLSKey string
	// BackupDir is the folder for a copy every night, empty for none; BackupKeep is how many stay in it.
	BackupDir  string
	BackupKeep int
	// ManagerKey is a manager key that is valid as long as it is set. It has no flag, because the command line of
	// a program can be read by others on the machine.
	ManagerKey string
	// Assumed is what is assumed of how repeatable measuring is, until the fleet has shown it. Our own
	// assumption, without a source (see "How it is worked out").
	Assumed calibrate.Assumption
	// CheckHealth asks the program that runs at Addr whether it is alive, and ends: for a container's HEALTHCHECK.
	CheckHealth bool
	// Command is what to do instead of serving, empty for serving; File is its argument.
	Command string
	File    string
	// KeyName is what a new key is called.
	KeyName string
}

// secure says whether browsers come by HTTPS, to the program itself or to what is in front of it.
func (s settings) secure() bool { return s.TLSCert != "" || strings.HasPrefix(s.PublicURL, "https://") }

// Defaults of what is assumed of repeatability: 100 times the sd of the logarithm, and the degrees of freedom
// that this is worth.
var usualAssumption = calibrate.Assumption{DayPct: 1.0, ReadingPct: 0.7, DF: 2}

// Limits of a manager key that is set from outside, in characters.
const (
	minKeyLength = 20
	maxKeyLength = 200
	// minKeyVariety is how many different characters it takes, so that nobody sets a row of one letter. Our own choice:
	// 32 random hexadecimal digits have fewer once in about 10,000 times.
	minKeyVariety = 10
)

// flags names every flag of s and gives the defaults.
func (s *settings) flags() *flag.FlagSet {
	f := flag.NewFlagSet("evenpull", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	f.StringVar(&s.Addr, "addr", "127.0.0.1:8080", "where to listen, `host:port`")
	f.StringVar(&s.DB, "db", "evenpull.db",
		"the SQLite `file`, made when it is not there, or the postgres:// URL of a database on a server")
	f.BoolVar(&s.Demo, "demo", false, "load an invented fleet into an empty database; any other is left alone")
	f.StringVar(&s.PublicURL, "public-url", "", "the `URL` at which the pages are seen from outside")
	f.BoolVar(&s.Private, "private", false, "reading takes a key as well")
	f.Float64Var(&s.ReadRate, "read-rate", 0,
		"how often one address may read, in `requests a second`; 0 for as often as it likes")
	f.Float64Var(&s.WriteRate, "write-rate", 0,
		"how often one address may write, in `requests a second`; 0 for as often as it likes")
	f.StringVar(&s.TLSCert, "tls-cert", "",
		"the certificate with its chain, a PEM `file`, for HTTPS; read again when it changes")
	f.StringVar(&s.TLSKey, "tls-key", "", "the private key of the certificate, a PEM `file`")
	f.StringVar(&s.BackupDir, "backup-dir", "", "the `folder` for a copy of the database every night")
	f.IntVar(&s.BackupKeep, "backup-keep", 14, "how `many` of those copies stay")
	f.Float64Var(&s.Assumed.DayPct, "assume-day-pct", usualAssumption.DayPct,
		"assumed spread from one test day to the next, in `percent`")
	f.Float64Var(&s.Assumed.ReadingPct, "assume-reading-pct", usualAssumption.ReadingPct,
		"assumed spread of readings within a day, in `percent`")
	f.Float64Var(&s.Assumed.DF, "assume-df", usualAssumption.DF,
		"`degrees of freedom` that the assumption is worth beside what was measured")
	f.BoolVar(&s.CheckHealth, "check-health", false,
		"ask the program at --addr whether it is alive, and end with 0 or 1")
	f.StringVar(&s.KeyName, "name", "made on the machine",
		"what the new key is called, as it stands in the list of keys and in the history")
	return f
}

// hasVariable says whether a flag can be set by the environment too.
func hasVariable(flag string) bool { return flag != "check-health" && flag != "name" }

// variable is the environment variable of a flag.
func variable(flag string) string {
	return "EVENPULL_" + strings.ToUpper(strings.ReplaceAll(flag, "-", "_"))
}

func (s settings) check() error {
	var faults []error
	must := func(be bool, format string, args ...any) {
		if !be {
			faults = append(faults, fmt.Errorf(format, args...))
		}
	}
	_, _, err := net.SplitHostPort(s.Addr)
	must(err == nil, "--addr must be host:port, such as 127.0.0.1:8080, not %q", s.Addr)
	must(s.DB != "", "--db must name a file, or give the URL of a database on a server")
	inFile := !store.OnServer(s.DB)
	must(inFile || s.Command != "backup" && s.Command != "restore", "%s is for a database in a file; on a server "+
		"pg_dump and psql are the tools, and GET /v1/export carries a fleet over to another database", s.Command)
	must(inFile || s.BackupDir == "", "--backup-dir is for a database in a file; on a server pg_dump is the tool")
	must((s.TLSCert == "") == (s.TLSKey == ""), "--tls-cert and --tls-key go together: give both, or neither")
	must(s.BackupKeep >= 1 && s.BackupKeep <= 10_000, "--backup-keep must be 1 to 10000, not %d", s.BackupKeep)
	rate := func(flag string, value float64) {
		must(value >= 0 && value <= 1e6, "--%s must be 0 to 1000000 requests a second, not %g; 0 slows nobody", flag,
			value)
	}
	rate("read-rate", s.ReadRate)
	rate("write-rate", s.WriteRate)
	if s.PublicURL != "" {
		faults = append(faults, checkPublicURL(s.PublicURL))
	}
	spread := func(flag string, pct float64) {
		must(pct > 0 && pct <= 50, "--%s must be above 0 and at most 50, not %g", flag, pct)
	}
	spread("assume-day-pct", s.Assumed.DayPct)
	spread("assume-reading-pct", s.Assumed.ReadingPct)
	df := s.Assumed.DF
	must(df >= 0 && df <= 1000, "--assume-df must be 0 to 1000, not %g; 0 trusts what was measured alone", df)
	return errors.Join(faults...)
}

// maxPublicURL keeps every link short enough for a QR code: the longest id of a show, percent-encoded, takes up most of
// it.
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
		return fmt.Errorf("EVENPULL_MANAGER_KEY must be %d to %d printable characters, without space around them",
			minKeyLength, maxKeyLength)
	}
	different := map[rune]struct{}{}
	for _, r := range key {
		different[r] = struct{}{}
	}
	if len(different) < minKeyVariety {
		return fmt.Errorf("EVENPULL_MANAGER_KEY must have at least %d different characters, not %d: a key like this "+
			"one is soon guessed", minKeyVariety, len(different))
	}
	return nil
}
