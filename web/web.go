// Package web holds what a browser fetches beside the pages: the style sheet, the scripts and the program's mark.
//
// The files under static/ are written by hand and need no build step. The style sheets are joined into one app.css when
// the program starts. Everything is served under one address that carries a hash of the whole tree, so that a browser may
// keep it for ever, relative imports between scripts work as they stand, and a new release is fetched at once.
package web

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"os"
	"path"
	"slices"
	"strings"
	"sync"
	"time"
)

// ContentSecurityPolicy lets a page use this server's own scripts, styles and pictures and nothing else; inline script
// and style attributes stay without effect.
const ContentSecurityPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; " +
	"manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// layers is the order in which rules win; a style sheet names its layer, so the order of files does not matter.
const layers = "@layer reset, tokens, base, layout, ui, page;\n"

const prefix = "/static/"

//go:embed static
var embedded embed.FS

var tree = sync.OnceValue(func() bundle {
	static, err := fs.Sub(embedded, "static")
	if err != nil {
		panic(err) // the name is a constant
	}
	b, err := load(static)
	if err != nil {
		panic(err) // embedded files cannot fail to be read
	}
	return b
})

// bundle is a loaded tree: content by path below static/, with app.css added.
type bundle struct {
	hash  string
	files map[string][]byte
}

// Base is the address of the tree, without a slash at its end.
func Base() string { return prefix + tree().hash }

// Asset is the address of one file of the tree, such as app.css or js/app.js.
func Asset(name string) string { return Base() + "/" + name }

// Handler serves the embedded tree. An address with the hash of an older release gets the present file, which the browser
// must not keep: a page that was open during an upgrade stays usable.
func Handler() http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { serve(w, r, tree(), tree().hash) })
}

// DevHandler serves the same addresses from a static directory on disk, reading it anew for each request.
func DevHandler(dir string) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		b, err := load(os.DirFS(dir))
		if err != nil {
			http.Error(w, err.Error(), http.StatusInternalServerError)
			return
		}
		serve(w, r, b, "")
	})
}

// serve answers from b; only an address with the hash keep may be kept by the browser.
func serve(w http.ResponseWriter, r *http.Request, b bundle, keep string) {
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		w.Header().Set("Allow", "GET, HEAD")
		http.Error(w, "only GET and HEAD", http.StatusMethodNotAllowed)
		return
	}
	hash, name, _ := strings.Cut(strings.TrimPrefix(r.URL.Path, prefix), "/")
	content, ok := b.files[name]
	if !ok {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("X-Content-Type-Options", "nosniff")
	if hash == keep {
		w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	} else {
		w.Header().Set("Cache-Control", "no-cache")
	}
	http.ServeContent(w, r, path.Base(name), time.Time{}, bytes.NewReader(content))
}

// load reads a static tree, joins its style sheets and hashes the result.
func load(fsys fs.FS) (bundle, error) {
	b := bundle{files: map[string][]byte{}}
	var names []string
	err := fs.WalkDir(fsys, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		content, err := fs.ReadFile(fsys, name)
		if err != nil {
			return fmt.Errorf("static file %s: %w", name, err)
		}
		b.files[name] = content
		names = append(names, name)
		return nil
	})
	if err != nil {
		return bundle{}, err
	}
	slices.Sort(names)
	var css bytes.Buffer
	css.WriteString(layers)
	sum := sha256.New()
	for _, name := range names {
		if path.Dir(name) == "css" {
			css.Write(b.files[name])
		}
		fmt.Fprintf(sum, "%s %d\n", name, len(b.files[name]))
		sum.Write(b.files[name])
	}
	b.files["app.css"] = css.Bytes()
	io.WriteString(sum, layers)
	b.hash = hex.EncodeToString(sum.Sum(nil)[:6])
	return b, nil
}
