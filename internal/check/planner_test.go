package main

import (
	"slices"
	"strings"
	"testing"
)

// The events are as `go test -json` of Go 1.26 prints them; a benchmark's line comes in two.
func TestFigures(t *testing.T) {
	t.Parallel()
	events := `{"Action":"run","Package":"a","Test":"TestX"}
{"Action":"output","Package":"a","Test":"TestX","Output":"    a_test.go:3: figure: jobs moved | 5.0 | at most 6\n"}
{"Action":"output","Package":"a","Test":"TestX","Output":"    a_test.go:4: seed 3\n"}
{"Action":"pass","Package":"a","Test":"TestX"}
{"Action":"output","Package":"a","Test":"TestY","Output":"    a_test.go:9: late\n"}
{"Action":"fail","Package":"a","Test":"TestY"}
{"Action":"output","Package":"a","Test":"BenchmarkZ","Output":"BenchmarkZ\n"}
{"Action":"output","Package":"a","Test":"BenchmarkZ/10_jobs","Output":"BenchmarkZ/10_jobs-2      \t"}
{"Action":"output","Package":"a","Test":"BenchmarkZ/10_jobs","Output":"     100\t  11000 ns/op\t      10 placed\n"}
`
	events += `{"Action":"output","Package":"b","Test":"BenchmarkP","Output":"    p_test.go:7: left out: no file\n"}
{"Action":"output","Package":"b","Test":"BenchmarkP","Output":"    p_test.go:7: left out: no file\n"}
{"Action":"output","Package":"b","Test":"BenchmarkP","Output":"BenchmarkP-2  \t 100\t 0.001 ns/op\n"}
`
	var out strings.Builder
	rows, ran, err := figures(&out, strings.NewReader(events))
	want := [][]string{{"jobs moved", "5.0", "aim: at most 6"}, {"Z/10_jobs", "11000 ns/op, 10 placed"}, {"left out", "no file"}}
	if err != nil || ran != 3 || !slices.EqualFunc(rows, want, slices.Equal) {
		t.Errorf("got %q, %d ran, %v\nwant %q", rows, ran, err, want)
	}
	if out.String() != "    a_test.go:9: late\n" {
		t.Errorf("of the failed test it says %q", out.String())
	}
}
