// Command evenpull serves the Evenpull API and its pages. See README.md for what it is for, and --help for
// its settings.
package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"syscall"
	_ "time/tzdata" // for machines without, such as an image with nothing but the program in it
)

func main() {
	ctx, end := context.WithCancel(context.Background())
	signals := make(chan os.Signal, 2)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM)
	go func() {
		<-signals
		end()
		<-signals
		// What is under way is cut as by a power cut, which loses nothing that was acknowledged.
		fmt.Fprintln(os.Stderr, "evenpull: told twice to end; whatever was under way is cut")
		os.Exit(exitFailed)
	}()
	os.Exit(runProgram(ctx, os.Args[1:], os.Getenv, os.Stdout, os.Stderr))
}
