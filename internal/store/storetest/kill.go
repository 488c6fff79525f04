package storetest

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// watch starts a shell that ends the server and removes its folder as soon as this process is gone, however it went:
// the shell then finds the end of what it reads.
func (v *Server) watch() error {
	listen, hold, err := os.Pipe()
	if err != nil {
		return fmt.Errorf("watching over a server: %w", err)
	}
	defer listen.Close()
	const script = `trap '' HUP INT TERM
read -r _
pid=$(head -n 1 "$1/data/postmaster.pid" 2>/dev/null) && kill -QUIT "$pid" 2>/dev/null
tries=0
while [ -n "$pid" ] && kill -0 "$pid" 2>/dev/null && [ $tries -lt 50 ]; do tries=$((tries + 1)); sleep 0.1; done
rm -rf "$1"`
	shell := exec.Command("/bin/sh", "-c", script, "sh", v.folder)
	shell.Stdin = listen
	shell.Dir = "/"
	shell.SysProcAttr = &syscall.SysProcAttr{Setsid: true}
	if err := shell.Start(); err != nil {
		return fmt.Errorf("watching over a server: %w", err)
	}
	go shell.Wait()
	v.alive = hold
	return nil
}

// end kills the server; the shell that watches over it clears up.
func (v *Server) end() {
	v.kill()
	v.alive.Close()
}

// Kill ends every process of the server with SIGKILL, as if the machine had stopped.
func (v *Server) Kill(t testing.TB) {
	t.Helper()
	if left := v.kill(); len(left) > 0 {
		t.Fatalf("processes of the killed server that are still there: %v", left)
	}
}

// kill returns the processes that would not go.
func (v *Server) kill() (left []int) {
	if v.process == nil {
		return nil
	}
	first := v.process.Process.Pid
	// Stopped first, so that it starts no further process while the others are looked for.
	_ = syscall.Kill(first, syscall.SIGSTOP)
	all := append(childrenOf(first), first)
	for _, pid := range all {
		_ = syscall.Kill(pid, syscall.SIGKILL)
	}
	for until := time.Now().Add(10 * time.Second); time.Now().Before(until); time.Sleep(5 * time.Millisecond) {
		left = left[:0]
		for _, pid := range all {
			if runs(pid) {
				left = append(left, pid)
			}
		}
		if len(left) == 0 {
			<-v.ended
			return nil
		}
	}
	return left
}

// childrenOf lists the processes that a process has started, as Linux tells: each process of a server has a session of
// its own, so that no one signal reaches them all.
func childrenOf(parent int) (children []int) {
	stats, _ := filepath.Glob("/proc/[0-9]*/stat")
	for _, stat := range stats {
		if fields := statOf(stat); len(fields) > 1 && fields[1] == strconv.Itoa(parent) {
			if pid, err := strconv.Atoi(filepath.Base(filepath.Dir(stat))); err == nil {
				children = append(children, pid)
			}
		}
	}
	return children
}

// runs says whether a process is there, and not merely waiting for its parent to take note of its end.
func runs(pid int) bool {
	fields := statOf(fmt.Sprintf("/proc/%d/stat", pid))
	return len(fields) > 0 && fields[0] != "Z" && fields[0] != "X"
}

// statOf is what stands after the name of the program in /proc/PID/stat: the state, the parent and more (proc(5)).
func statOf(stat string) []string {
	text, err := os.ReadFile(stat)
	if err != nil {
		return nil
	}
	_, after, _ := strings.Cut(string(text), ") ")
	return strings.Fields(after)
}
