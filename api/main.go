// Command evenpull serves the Evenpull API and its pages. See README.md for what it is for, and --help for
// its settings.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	os.Exit(runProgram(ctx, os.Args[1:], os.Getenv, os.Stdout, os.Stderr))
}
