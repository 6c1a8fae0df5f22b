package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"

	"axlestand/internal/planner"
)

// runPlan plans a problem file without a database.
//
//	axlestand plan [-in FILE] [-json]
//
// Without -in, or with -in -, the problem is read from standard input. A
// problem that is refused is an error of one line that names the place.
func runPlan(args []string, stdin io.Reader, stdout io.Writer) error {
	flags := flag.NewFlagSet("plan", flag.ContinueOnError)
	flags.SetOutput(io.Discard)
	in := flags.String("in", "-", "the problem file; - is standard input")
	asJSON := flags.Bool("json", false, "print the plan as JSON")
	if err := flags.Parse(args); err != nil {
		return err
	}
	if flags.NArg() > 0 {
		return fmt.Errorf("plan takes no argument %q; the problem file is given with -in", flags.Arg(0))
	}
	if *in != "-" {
		file, err := os.Open(*in)
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
	answer, err := planner.Plan(problem)
	if err != nil {
		return err
	}
	if !*asJSON {
		return planner.WriteText(stdout, problem, answer)
	}
	encoder := json.NewEncoder(stdout)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	return encoder.Encode(answer)
}
