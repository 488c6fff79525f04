package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"slices"
	"strings"
)

// task is something that the program can be told to do.
type task struct {
	name  string // empty for serving, which needs no word
	file  string // what its argument is called, empty where it takes none
	what  string // in a line
	more  string // in a few lines
	flags []string
	run   func(ctx context.Context, set settings, stdout io.Writer, log *slog.Logger) error
}

var assumptions = []string{"assume-day-pct", "assume-reading-pct", "assume-df"}

// serveTask is what the program does without a command.
var serveTask = task{
	flags: append([]string{
		"addr", "db", "demo", "public-url", "private", "read-rate", "write-rate", "tls-cert", "tls-key", "backup-dir", "backup-keep",
		"check-health",
	}, assumptions...),
	run: func(ctx context.Context, set settings, stdout io.Writer, log *slog.Logger) error {
		if set.CheckHealth {
			return checkHealth(ctx, set)
		}
		return serve(ctx, set, stdout, log)
	},
}

// commands are those that have a word.
func commands() []task {
	return []task{
		{
			name: "backup", file: "FILE", what: "copy the database into FILE, whether the program runs or not",
			more:  "The copy is checked before it takes the place of an earlier one. Anything else that FILE may be is left alone.",
			flags: []string{"db"}, run: backUp,
		},
		{
			name: "restore", file: "FILE", what: "put the copy in FILE in the place of the database; stop the program first",
			more:  "FILE is checked first and stays as it is; what is put back is compared with it. The database that was there is kept beside the new one.",
			flags: []string{"db"}, run: restore,
		},
		{
			name: "check", what: "look through the database, whether the program runs or not: exit 0 if it is whole, 1 if not",
			more:  "Every page, every reference, every chart, class, sheet and entry of the history is read. Nothing is changed.",
			flags: append([]string{"db"}, assumptions...), run: check,
		},
		{
			name: "new-key", what: "make a manager key, for one that was lost, and print it this once",
			more:  "The other keys stay as they are. With a database in a file, stop the program first.",
			flags: []string{"db", "name"}, run: makeKey,
		},
	}
}

func commandNamed(name string) (task, bool) {
	all := commands()
	i := slices.IndexFunc(all, func(c task) bool { return c.name == name })
	if i < 0 {
		return task{}, false
	}
	return all[i], true
}

// task is what the settings say is to be done.
func (s settings) task() task {
	if c, ok := commandNamed(s.Command); ok {
		return c
	}
	return serveTask
}

func (c task) title() string {
	if c.name == "" {
		return "serving"
	}
	return c.name
}

func (c task) takes(flag string) bool { return slices.Contains(c.flags, flag) }

// take takes the words that follow the command.
func (c task) take(s *settings, words []string) error {
	switch {
	case c.file != "" && len(words) == 0:
		return fmt.Errorf("%s needs the name of a file: evenpull %s %s", c.name, c.name, c.file)
	case c.file != "" && words[0] == "":
		return fmt.Errorf("%s needs the name of a file, not an empty one", c.name)
	case c.file != "":
		s.File, words = words[0], words[1:]
	}
	if len(words) > 0 {
		return fmt.Errorf("%q is one word too many for %s", words[0], c.title())
	}
	return nil
}

// usage is what --help prints, of the program or of one command.
func usage(of task) string {
	var b strings.Builder
	if of.name == "" {
		b.WriteString("Evenpull: which gear on another sled tops out nearest.\n\n  evenpull [flags]\n      serve the pages and the API\n")
		for _, c := range commands() {
			fmt.Fprintf(&b, "  %s\n      %s\n", c.line(), c.what)
		}
		b.WriteString("  evenpull help COMMAND\n      say more of one of them\n\nSettings of the program that serves, each with its environment variable; a flag wins:\n\n")
	} else {
		fmt.Fprintf(&b, "%s\n\n%s.\n%s\n\n", of.line(), strings.ToUpper(of.what[:1])+of.what[1:], of.more)
	}
	new(settings).flags().VisitAll(func(one *flag.Flag) {
		if !of.takes(one.Name) {
			return
		}
		what, text := flag.UnquoteUsage(one)
		fmt.Fprintf(&b, "  --%s %s\n      %s", one.Name, what, text)
		switch {
		case hasVariable(one.Name):
			fmt.Fprintf(&b, " (%s; default %q)", variable(one.Name), one.DefValue)
		case one.DefValue != "false":
			fmt.Fprintf(&b, " (default %q)", one.DefValue)
		}
		b.WriteByte('\n')
	})
	if of.name == "" {
		fmt.Fprintf(&b, "\n  EVENPULL_MANAGER_KEY\n      a manager key of %d to %d printable characters, valid as long as it is set\n", minKeyLength, maxKeyLength)
	}
	return b.String()
}

// line is how a command is given.
func (c task) line() string {
	line := "evenpull " + c.name
	if c.file != "" {
		line += " " + c.file
	}
	return line
}

// errInterrupted is of a command that was told to end before it was through.
var errInterrupted = errors.New("interrupted; nothing was changed")
