package main

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"axlestand/internal/planner"
)

// planFlags are the flags of the plan command.
type planFlags struct {
	in      string
	json    bool
	why     string
	force   string
	samples int
}

func parsePlanFlags(args []string) (planFlags, error) {
	var f planFlags
	flags := flag.NewFlagSet("plan", flag.ContinueOnError)
	flags.SetOutput(io.Discard)
	flags.StringVar(&f.in, "in", "-", "the problem file; - is standard input")
	flags.BoolVar(&f.json, "json", false, "print as JSON")
	flags.StringVar(&f.why, "why", "", "only why this job is where it is, or what would free it")
	flags.StringVar(&f.force, "force", "", "only what comes of JOB@TIME, the job in the session at that time")
	flags.IntVar(&f.samples, "samples", 2000, "how often the plan is carried out for the chances; 0 for none")
	err := flags.Parse(args)
	switch {
	case err != nil:
	case flags.NArg() > 0:
		err = fmt.Errorf("plan takes no argument %q; the problem file is given with -in", flags.Arg(0))
	case f.why != "" && f.force != "":
		err = errors.New("-why and -force are two questions; ask one at a time")
	case f.samples < 0 || f.samples > 1_000_000:
		err = fmt.Errorf("-samples %d is not between 0 and 1000000", f.samples)
	}
	return f, err
}

// runPlan plans a problem file without a database.
//
//	axlestand plan [-in FILE] [-json] [-samples N] [-why JOB | -force JOB@TIME]
//
// Without -in, or with -in -, the problem is read from standard input. A
// problem that is refused is an error of one line that names the place.
func runPlan(args []string, stdin io.Reader, stdout io.Writer) error {
	flags, err := parsePlanFlags(args)
	if err != nil {
		return err
	}
	if flags.in != "-" {
		file, err := os.Open(flags.in)
		if err != nil {
			return err
		}
		defer file.Close()
		stdin = file
	}
	problem, err := planner.ReadProblem(stdin)
	if err != nil {
		return err
	}
	switch {
	case flags.why != "":
		return planWhy(problem, flags, stdout)
	case flags.force != "":
		return planForce(problem, flags, stdout)
	}
	report, err := planner.Explain(problem, flags.samples)
	if err != nil {
		return err
	}
	if flags.json {
		return writeJSON(stdout, report)
	}
	return planner.WriteReport(stdout, problem, report)
}

// planWhy answers why one job is where it is.
func planWhy(problem planner.Problem, flags planFlags, stdout io.Writer) error {
	answer, err := planner.Plan(problem)
	if err != nil {
		return err
	}
	sets, err := planner.Unblock(problem, flags.why)
	if err != nil {
		return err
	}
	links := planner.Chain(problem, answer, flags.why)
	if !flags.json {
		return planner.WriteWhy(stdout, answer, flags.why, links, sets)
	}
	return writeJSON(stdout, struct {
		Job     string            `json:"job"`
		Chain   []planner.Link    `json:"chain"`
		Unblock [][]planner.Thing `json:"unblock"`
	}{flags.why, links, sets})
}

// planForce answers what comes of doing a job in a session of the owner's choice.
func planForce(problem planner.Problem, flags planFlags, stdout io.Writer) error {
	job, at, err := parseForce(flags.force, problem.Zone)
	if err != nil {
		return err
	}
	answer, err := planner.Plan(problem)
	if err != nil {
		return err
	}
	forced, err := planner.Force(problem, answer, job, at)
	if err != nil {
		return err
	}
	if flags.json {
		return writeJSON(stdout, forced)
	}
	return planner.WriteForced(stdout, forced)
}

// parseForce reads JOB@TIME; an id may have an @ of its own.
func parseForce(text, zoneName string) (job string, at time.Time, err error) {
	i := strings.LastIndex(text, "@")
	if i < 1 {
		return "", time.Time{}, fmt.Errorf("-force %q is not JOB@TIME", text)
	}
	if at, err = time.Parse(time.RFC3339, text[i+1:]); err == nil {
		return text[:i], at, nil
	}
	zone, err := time.LoadLocation(zoneName)
	if err != nil {
		return "", time.Time{}, err
	}
	if at, err = time.ParseInLocation("2006-01-02T15:04", text[i+1:], zone); err != nil {
		return "", time.Time{}, fmt.Errorf("-force %q has no time like 2027-03-06T09:00 after the @", text)
	}
	return text[:i], at, nil
}

func writeJSON(w io.Writer, v any) error {
	encoder := json.NewEncoder(w)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	return encoder.Encode(v)
}
