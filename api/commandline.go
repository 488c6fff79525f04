package main

import (
	"errors"
	"flag"
	"fmt"
	"strings"
)

// readSettings reads the command line and the environment. It returns flag.ErrHelp when help was asked for, of the
// command that is set then.
func readSettings(args []string, getenv func(string) string) (settings, error) {
	var s settings
	f := s.flags()
	words, err := parseAnywhere(f, args)
	if len(words) > 0 && words[0] == "help" {
		words, err = words[1:], flag.ErrHelp
	}
	help := errors.Is(err, flag.ErrHelp)
	if err != nil && !help {
		return s, err
	}
	do := serveTask
	if len(words) > 0 {
		var ok bool
		if do, ok = commandNamed(words[0]); !ok {
			return s, fmt.Errorf("%q is not known here; see --help", words[0])
		}
		words = words[1:]
	}
	s.Command = do.name
	if help {
		return s, flag.ErrHelp
	}
	faults := []error{do.take(&s, words)}
	given := map[string]bool{}
	f.Visit(func(one *flag.Flag) {
		given[one.Name] = true
		if !do.takes(one.Name) {
			faults = append(faults, fmt.Errorf("--%s means nothing to %s", one.Name, do.title()))
		}
	})
	f.VisitAll(func(one *flag.Flag) {
		if given[one.Name] || !do.takes(one.Name) || !hasVariable(one.Name) {
			return
		}
		name := variable(one.Name)
		if value := getenv(name); value != "" {
			if err := f.Set(one.Name, value); err != nil {
				faults = append(faults, fmt.Errorf("%s cannot be %q", name, value))
			}
		}
	})
	if s.Command == "" {
		s.ManagerKey = getenv("EVENPULL_MANAGER_KEY")
	}
	return s, errors.Join(append(faults, s.check())...)
}

// parseAnywhere takes flags before, between and behind the words, and returns the words. After -- everything is a word.
func parseAnywhere(f *flag.FlagSet, args []string) (words []string, err error) {
	for {
		if err := f.Parse(args); err != nil {
			return words, err
		}
		rest := f.Args()
		if len(rest) == 0 {
			return words, nil
		}
		if taken := len(args) - len(rest); taken > 0 && args[taken-1] == "--" {
			return append(words, rest...), nil
		}
		words, args = append(words, rest[0]), rest[1:]
	}
}

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

// task is what the settings say is to be done.
func (s settings) task() task {
	if c, ok := commandNamed(s.Command); ok {
		return c
	}
	return serveTask
}

// usage is what --help prints, of the program or of one command.
func usage(of task) string {
	var b strings.Builder
	if of.name == "" {
		b.WriteString("Evenpull: which gear on another sled tops out nearest.\n\n  evenpull [flags]\n      serve " +
			"the pages and the API\n")
		for _, c := range commands() {
			fmt.Fprintf(&b, "  %s\n      %s\n", c.line(), c.what)
		}
		b.WriteString("  evenpull help COMMAND\n      say more of one of them\n\nSettings of the program that " +
			"serves, each with its environment variable; a flag wins:\n\n")
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
		fmt.Fprintf(&b, "\n  EVENPULL_MANAGER_KEY\n      a manager key of %d to %d printable characters, at least "+
			"%d of them different, valid as long as it is set\n", minKeyLength, maxKeyLength, minKeyVariety)
	}
	return b.String()
}
