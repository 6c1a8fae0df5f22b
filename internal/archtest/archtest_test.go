// Package archtest holds one test: who may import whom. The arrow in one line is
//
//	cmd -> server -> {postgres, page, exchange, planner, diagnose} -> garage -> trade
//
// and planner -> schedule. Nothing points left. A package that is not in the table fails the test, so that a new
// one gets its line here first.
package archtest

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
)

const module = "axlestand/"

// rule says what the packages that match pkg may import: own are packages of this module, other are modules from
// outside, by prefix. The standard library is open to all but the pure packages, which hold no clock, no random
// source of their own, no log and no network.
type rule struct {
	pkg, own, other string
	pure            bool
}

var rules = []rule{
	{pkg: "internal/trade/...", own: "internal/trade/...", pure: true},
	{pkg: "internal/garage", own: "internal/trade/...", pure: true},
	{pkg: "internal/schedule", pure: true},
	{pkg: "internal/planner", own: "internal/garage internal/schedule", pure: true},
	{pkg: "internal/diagnose", own: "internal/garage internal/trade/...", pure: true},
	{pkg: "internal/photo", other: "golang.org/x/image", pure: true},
	{pkg: "internal/npm"},
	{pkg: "internal/localpg", own: "internal/npm"},
	{pkg: "internal/config"},
	{pkg: "migrations"},
	{pkg: "testdata"},
	{pkg: "web"},
	{pkg: "web/route"},
	{pkg: "web/ui", own: "web/route", other: "github.com/a-h/templ"},
	{pkg: "web/page", own: "web/ui web/route internal/garage internal/trade/... internal/planner internal/diagnose", other: "github.com/a-h/templ"},
	{pkg: "internal/exchange", own: "internal/garage internal/planner internal/trade/..."},
	{pkg: "internal/postgres", own: "internal/garage migrations", other: "github.com/jackc/pgx/v5 github.com/golang-migrate/migrate/v4"},
	{
		pkg:   "internal/server",
		own:   "internal/garage internal/trade/... internal/planner internal/diagnose internal/exchange internal/photo internal/postgres web/...",
		other: "github.com/go-chi/chi/v5 github.com/a-h/templ golang.org/x/crypto github.com/prometheus/client_golang",
	},
	{pkg: "cmd/...", own: "...", other: "..."},
	{pkg: "internal/check", other: "golang.org/x/mod"},
	{pkg: "internal/archtest"},
	{pkg: "internal/garagetest", own: "...", other: "..."},
	{pkg: "internal/pgtest", own: "...", other: "..."},
	{pkg: "internal/htmltest", own: "...", other: "..."},
	{pkg: "internal/browsertest", own: "...", other: "..."},
}

// TestImports reads the files itself instead of asking `go list`: it then sees the files of every operating system,
// and the test cache knows which files the answer depends on.
func TestImports(t *testing.T) {
	t.Parallel()
	for _, v := range violations(os.DirFS("../..")) {
		t.Error(v)
	}
}

// violations lists every breach of the rules in the tree, one line each.
func violations(tree fs.FS) (found []string) {
	err := fs.WalkDir(tree, ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && name != "." && strings.HasPrefix(d.Name(), "."), d.IsDir() && path.Base(name) == "testdata" && name != "testdata":
			return fs.SkipDir
		case d.IsDir() || path.Ext(name) != ".go":
			return nil
		}
		src, err := fs.ReadFile(tree, name)
		if err != nil {
			return err
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, src, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		found = append(found, breaches(name, file)...)
		return nil
	})
	if err != nil {
		found = append(found, err.Error())
	}
	return found
}

// breaches checks one file. Test files may import what they like.
func breaches(name string, file *ast.File) (found []string) {
	pkg := path.Dir(name)
	i := slices.IndexFunc(rules, func(r rule) bool { return matches(r.pkg, pkg) })
	if i < 0 {
		return []string{fmt.Sprintf("%s: package %s has no line in the table of internal/archtest", name, pkg)}
	}
	if strings.HasSuffix(name, "_test.go") {
		return nil
	}
	for _, spec := range file.Imports {
		imp := strings.Trim(spec.Path.Value, `"`)
		if !rules[i].allows(pkg, imp) {
			found = append(found, fmt.Sprintf("%s: %s must not import %s", name, pkg, imp))
		}
	}
	if rules[i].pure {
		found = append(found, impure(name, file)...)
	}
	return found
}

func (r rule) allows(pkg, imp string) bool {
	own, ours := strings.CutPrefix(imp, module)
	switch {
	case ours && strings.HasSuffix(own, "test"):
		isTest := strings.HasSuffix(pkg, "test")
		return isTest || own == "internal/garagetest" && pkg == "cmd/gallery"
	case ours:
		return matches(r.own, own)
	case strings.Contains(strings.Split(imp, "/")[0], "."):
		return matches(r.other, imp) || slices.ContainsFunc(strings.Fields(r.other), func(m string) bool {
			return strings.HasPrefix(imp, m+"/")
		})
	}
	return !r.pure || !matches("log/... net/... os/... database/sql", imp)
}

// matches says whether name is one of the space-separated patterns; "x/..." is x and everything below it.
func matches(patterns, name string) bool {
	for p := range strings.FieldsSeq(patterns) {
		base, deep := strings.CutSuffix(p, "...")
		base = strings.TrimSuffix(base, "/")
		if name == base || deep && (base == "" || strings.HasPrefix(name, base+"/")) {
			return true
		}
	}
	return false
}

// clocks are the names of package time that read the clock or the machine's own zone.
const clocks = "Now Since Until After AfterFunc Tick NewTicker NewTimer Sleep Local"

// seeded are the names of math/rand that do not touch its global source.
const seeded = "New NewSource NewPCG NewChaCha8 NewZipf Rand Source Source64 PCG ChaCha8 Zipf"

// impure finds a clock or a global random source in a package that gets both as data.
func impure(name string, file *ast.File) (found []string) {
	paths := map[string]string{}
	for _, spec := range file.Imports {
		imp := strings.Trim(spec.Path.Value, `"`)
		local := path.Base(strings.TrimSuffix(imp, "/v2"))
		if spec.Name != nil {
			local = spec.Name.Name
		}
		paths[local] = strings.TrimSuffix(imp, "/v2")
	}
	ast.Inspect(file, func(n ast.Node) bool {
		sel, ok := n.(*ast.SelectorExpr)
		if !ok {
			return true
		}
		x, ok := sel.X.(*ast.Ident)
		if !ok {
			return true
		}
		switch imp := paths[x.Name]; {
		case imp == "time" && matches(clocks, sel.Sel.Name),
			imp == "math/rand" && !matches(seeded, sel.Sel.Name),
			imp == "crypto/rand":
			found = append(found, fmt.Sprintf("%s: a pure package must not use %s.%s", name, imp, sel.Sel.Name))
		}
		return true
	})
	return found
}

// TestViolations shows that each kind of breach is caught, and that what is allowed passes.
func TestViolations(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ file, src, want string }{
		"trade knows no other package of ours": {"internal/trade/torque/torque.go", `import "axlestand/internal/garage"`, "internal/trade/torque must not import axlestand/internal/garage"},
		"garage points at the store":           {"internal/garage/part.go", `import "axlestand/internal/postgres"`, "must not import axlestand/internal/postgres"},
		"page points at the store":             {"web/page/part.go", `import "axlestand/internal/postgres"`, "must not import axlestand/internal/postgres"},
		"server reads configuration":           {"internal/server/part.go", `import "axlestand/internal/config"`, "must not import axlestand/internal/config"},
		"planner uses the network":             {"internal/planner/doc.go", `import "net/http"`, "must not import net/http"},
		"planner logs":                         {"internal/planner/doc.go", `import "log/slog"`, "must not import log/slog"},
		"garage uses a library":                {"internal/garage/part.go", `import "github.com/jackc/pgx/v5"`, "must not import github.com/jackc/pgx/v5"},
		"a test package in the program":        {"internal/server/part.go", `import "axlestand/internal/garagetest"`, "must not import axlestand/internal/garagetest"},
		"another test package in the gallery":  {"cmd/gallery/main.go", `import "axlestand/internal/pgtest"`, "must not import axlestand/internal/pgtest"},
		"a package without a line":             {"internal/util/util.go", ``, "package internal/util has no line"},
		"a clock in the planner":               {"internal/planner/doc.go", "import \"time\"\nvar x = time.Now()", "must not use time.Now"},
		"a renamed clock":                      {"internal/schedule/doc.go", "import t \"time\"\nvar x = t.Since", "must not use time.Since"},
		"the global random source":             {"internal/schedule/doc.go", "import \"math/rand/v2\"\nvar x = rand.IntN(3)", "must not use math/rand.IntN"},
		"a seeded random source passes":        {"internal/schedule/doc.go", "import \"math/rand/v2\"\nvar x = rand.New(rand.NewPCG(1, 2))", ""},
		"a library's own packages pass":        {"internal/postgres/part.go", `import "github.com/jackc/pgx/v5/pgxpool"`, ""},
		"samples in the gallery pass":          {"cmd/gallery/main.go", `import "axlestand/internal/garagetest"`, ""},
		"a test may import a test package":     {"internal/server/part_test.go", `import "axlestand/internal/pgtest"`, ""},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			got := violations(fstest.MapFS{c.file: {Data: []byte("package x\n" + c.src)}})
			switch {
			case c.want == "" && len(got) > 0:
				t.Errorf("got %q, want nothing", got)
			case c.want != "" && (len(got) != 1 || !strings.Contains(got[0], c.want)):
				t.Errorf("got %q, want one line with %q", got, c.want)
			}
		})
	}
}
