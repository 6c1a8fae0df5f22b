// Command axlestand runs the workshop manager of a home garage.
//
//	axlestand [serve] [flags]        answer browsers; the default
//	axlestand plan [flags]           plan a problem file without a database
//	axlestand user -password         set the owner's password, read from standard input
//	axlestand backup [-out FILE]     save everything into one file
//	axlestand restore FILE           put what a file holds in place of what there is
//	axlestand healthcheck            say whether a running one answers
//	axlestand version [-licenses]    say which version this is, or the licences of what is built in
package main

import (
	"context"
	_ "embed"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"strings"
	"syscall"
	_ "time/tzdata" // the image has no time zones of its own

	"axlestand/internal/config"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop) // a second signal ends the program at once
	if err := run(ctx, os.Args[1:], os.Getenv, os.Stdin, os.Stdout); err != nil {
		for line := range strings.Lines(err.Error()) {
			fmt.Fprintln(os.Stderr, "axlestand:", strings.TrimSpace(line))
		}
		os.Exit(1)
	}
}

// run is the program. What a person reads goes to stdout, the log to the standard error output.
func run(ctx context.Context, args []string, getenv func(string) string, stdin io.Reader, stdout io.Writer) error {
	command := "serve"
	if len(args) > 0 && !strings.HasPrefix(args[0], "-") {
		command, args = args[0], args[1:]
	}
	var err error
	switch command {
	case "serve":
		err = serve(ctx, args, getenv, stdout)
	case "plan":
		err = runPlan(args, stdin, stdout)
	case "user":
		err = user(ctx, args, getenv, stdin, stdout)
	case "backup":
		err = backup(ctx, args, getenv, stdout)
	case "restore":
		err = restore(ctx, args, getenv, stdout)
	case "healthcheck":
		err = healthcheck(ctx, args, getenv)
	case "version":
		err = printVersion(args, stdout)
	case "help":
		err = flag.ErrHelp
	default:
		return fmt.Errorf("there is no command %q; axlestand help lists them", command)
	}
	if errors.Is(err, flag.ErrHelp) {
		usage(stdout)
		return nil
	}
	return err
}

func usage(w io.Writer) {
	fmt.Fprint(w, `axlestand [serve] [flags]        answer browsers
axlestand plan [flags]           plan a problem file, or standard input, without a database:
                                 -in FILE -json -samples N, and one of -why JOB or -force JOB@TIME
axlestand user -password         set the owner's password, read from standard input
axlestand backup [-out FILE]     save everything into one file
axlestand restore FILE           put what a file holds in place of what there is
axlestand healthcheck            say whether a running one answers
axlestand version [-licenses]    say which version this is, or the licences of what is built in

Flags, and the variables that stand in for them:

`)
	config.Usage(w)
}

// licences are those of all that is built in; `go run ./internal/check notices` writes them.
//
//go:embed licences.txt
var licences string

// printVersion says which version this is, or under which terms its parts are passed on.
func printVersion(args []string, stdout io.Writer) error {
	flags := flag.NewFlagSet("version", flag.ContinueOnError)
	flags.SetOutput(io.Discard)
	notices := flags.Bool("licenses", false, "")
	if err := flags.Parse(args); err != nil {
		return err
	}
	if flags.NArg() > 0 {
		return fmt.Errorf("unexpected argument %q", flags.Arg(0))
	}
	if *notices {
		_, err := io.WriteString(stdout, licences)
		return err
	}
	fmt.Fprintln(stdout, "axlestand", version())
	return nil
}

// version is what the build knows of itself.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	version, revision, changed := info.Main.Version, "", false
	for _, s := range info.Settings {
		switch s.Key {
		case "vcs.revision":
			revision = s.Value
		case "vcs.modified":
			changed = s.Value == "true"
		}
	}
	if version == "" || version == "(devel)" {
		version = "dev"
		if len(revision) >= 12 {
			version += " " + revision[:12]
		}
		if changed {
			version += ", changed"
		}
	}
	return version
}
