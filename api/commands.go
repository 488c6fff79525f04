package main

import (
	"context"
	"io"
	"log/slog"
	"slices"
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
		"addr", "db", "demo", "public-url", "private", "read-rate", "write-rate", "tls-cert", "tls-key", "backup-dir",
		"backup-keep",
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
			more: "The copy is checked before it takes the place of an earlier one. Anything else that FILE may be " +
				"is left alone.",
			flags: []string{"db"}, run: backUpDatabase,
		},
		{
			name: "restore", file: "FILE", what: "put the copy in FILE in the place of the database; stop the " +
				"program first",
			more:  "FILE is checked first and stays as it is. The database that was there is kept beside the new one.",
			flags: []string{"db"}, run: restoreDatabase,
		},
		{
			name: "check", what: "look through the database, whether the program runs or not: exit 0 if it is " +
				"whole, 1 if not",
			more: "Every page, every reference, every chart, class, sheet and entry of the history is read. " +
				"Nothing is changed.",
			flags: append([]string{"db"}, assumptions...), run: checkDatabase,
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

func (c task) title() string {
	if c.name == "" {
		return "serving"
	}
	return c.name
}

func (c task) takes(flag string) bool { return slices.Contains(c.flags, flag) }

// line is how a command is given.
func (c task) line() string {
	line := "evenpull " + c.name
	if c.file != "" {
		line += " " + c.file
	}
	return line
}
