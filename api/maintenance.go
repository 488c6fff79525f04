package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"time"

	"evenpull/internal/book"
	"evenpull/internal/store"
)

// The commands for whoever keeps the database. Each prints what it has done; what keeps it from that is the error.

func backUpDatabase(ctx context.Context, set settings, stdout io.Writer, _ *slog.Logger) error {
	if err := store.Backup(ctx, set.DB, set.File); err != nil {
		return err
	}
	fmt.Fprintf(stdout, "%s is copied to %s, and the copy is checked\n", set.DB, set.File)
	return nil
}

func restoreDatabase(ctx context.Context, set settings, stdout io.Writer, _ *slog.Logger) error {
	kept, err := store.Restore(ctx, set.File, set.DB, time.Now())
	if err != nil {
		return err
	}
	fmt.Fprintf(stdout, "%s is as it was copied to %s\n", set.DB, set.File)
	if kept.Database != "" {
		fmt.Fprintf(stdout, "What was there before is kept in %s\n", kept.Database)
	}
	if database, is := strings.CutSuffix(kept.Orphan, "-wal"); is {
		fmt.Fprintf(stdout, "The log of another database lay there, and is kept in %s: "+
			"with that database moved to %s, what is in it is read again\n", kept.Orphan, database)
	}
	return nil
}

// checkDatabase looks from below, at the file, and then from above, at what the book makes of it.
func checkDatabase(ctx context.Context, set settings, stdout io.Writer, _ *slog.Logger) (err error) {
	name := store.Name(set.DB)
	db := set.DB
	var found []string
	if !store.OnServer(db) {
		file, err := store.Check(ctx, db)
		if err != nil {
			return err
		}
		found = file.Found
		if file.Behind != "" && len(found) == 0 {
			fmt.Fprintf(stdout, "%s has the schema %s of an earlier version; a copy of it is brought up to date and "+
				"looked through\n", name, file.Behind)
			folder, err := os.MkdirTemp("", "evenpull-check-")
			if err != nil {
				return fmt.Errorf("making a folder for the copy: %w", err)
			}
			defer os.RemoveAll(folder)
			if db, err = broughtUpToDate(ctx, db, folder); err != nil {
				return err
			}
		}
	}
	if len(found) == 0 {
		if found, err = checkBook(ctx, set, db); err != nil {
			return err
		}
	}
	for _, f := range found {
		fmt.Fprintln(stdout, oneLine(errors.New(f)))
	}
	switch len(found) {
	case 0:
		fmt.Fprintf(stdout, "%s is whole\n", name)
		return nil
	case 1:
		return fmt.Errorf("one thing is wrong with %s", name)
	}
	return fmt.Errorf("%d things are wrong with %s", len(found), name)
}

func oneLine(err error) string { return strings.Join(strings.Fields(err.Error()), " ") }

// checkBook lets the book read and work out everything in a database that others may be using.
func checkBook(ctx context.Context, set settings, db string) (found []string, err error) {
	st, err := store.OpenReadOnly(ctx, db, store.Options{})
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	return book.New(st, book.Options{Assumed: set.Assumed}).Check(ctx)
}

// broughtUpToDate makes a copy of a database in a folder and brings that up to date.
func broughtUpToDate(ctx context.Context, db, folder string) (string, error) {
	copied := filepath.Join(folder, "fleet.db")
	if err := store.Backup(ctx, db, copied); err != nil {
		return "", err
	}
	st, err := store.Open(ctx, copied, store.Options{})
	if err != nil {
		return "", err
	}
	return copied, st.Close()
}

func makeKey(ctx context.Context, set settings, stdout io.Writer, log *slog.Logger) (err error) {
	if !store.OnServer(set.DB) {
		if _, err := os.Stat(set.DB); errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("there is no file %s", set.DB) // a key of a database made just now would open nothing
		}
	}
	st, err := store.Open(ctx, set.DB, store.Options{Log: log})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	key, err := book.New(st, book.Options{Assumed: set.Assumed, Log: log}).NewManagerKey(ctx, set.KeyName)
	if err != nil {
		return err
	}
	fmt.Fprintf(stdout, "The new manager key, shown this once, is %s\n", key)
	return nil
}
