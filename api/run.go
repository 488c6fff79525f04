package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"strings"

	"evenpull/api/internal/observe"
)

// Exit codes: 0 when it was told to end or has done what it was told, 1 when it cannot, 2 when it was started wrongly.
const (
	exitWell   = 0
	exitFailed = 1
	exitUsage  = 2
)

// runProgram is the whole program: it serves until ctx ends, or does what a command says, and returns the exit code.
// Whatever keeps it from that is one line on stderr.
func runProgram(ctx context.Context, args []string, getenv func(string) string, stdout, stderr io.Writer) int {
	set, err := readSettings(args, getenv)
	do := set.task()
	switch {
	case errors.Is(err, flag.ErrHelp):
		fmt.Fprint(stdout, usage(do))
		return exitWell
	case err != nil:
		fmt.Fprintln(stderr, "evenpull:", strings.ReplaceAll(err.Error(), "\n", "; "))
		return exitUsage
	}
	if err := checkTimeZone(getenv("TZ")); err != nil {
		fmt.Fprintln(stderr, "evenpull:", err)
		return exitFailed
	}
	err = do.run(ctx, set, stdout, observe.Redacting(slog.New(slog.NewTextHandler(stderr, nil)), set.ManagerKey))
	if ctx.Err() != nil && errors.Is(err, context.Canceled) {
		if do.name == "" { // told to end before it had begun
			return exitWell
		}
		err = errInterrupted
	}
	if err != nil {
		fmt.Fprintln(stderr, "evenpull:", oneLine(err))
		return exitFailed
	}
	return exitWell
}

// errInterrupted is of a command that was told to end before it was through.
var errInterrupted = errors.New("interrupted; nothing was changed")
