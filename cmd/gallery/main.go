// Command gallery shows every component and page in every state with sample data, without a database.
//
//	go run ./cmd/gallery -listen 127.0.0.1:8090 -static web/static
//
// Its entries are also the corpus that one test renders and checks.
package main

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/signal"
	"strings"

	"axlestand/web"
	"axlestand/web/route"
	"axlestand/web/ui"

	"github.com/a-h/templ"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx, os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "gallery:", err)
		os.Exit(1)
	}
}

// run serves the gallery until the context ends, and prints where.
func run(ctx context.Context, args []string, stdout *os.File) error {
	flags := flag.NewFlagSet("gallery", flag.ContinueOnError)
	listen := flags.String("listen", "127.0.0.1:8090", "address to listen on")
	static := flags.String("static", "", "read style sheets and scripts from this directory at each request")
	if err := flags.Parse(args); err != nil {
		return err
	}
	l, err := net.Listen("tcp", *listen)
	if err != nil {
		return err
	}
	assets := web.Handler()
	if *static != "" {
		assets = web.DevHandler(*static)
	}
	server := &http.Server{Handler: handler(assets)}
	context.AfterFunc(ctx, func() { server.Close() })
	fmt.Fprintf(stdout, "http://%s/\n", l.Addr())
	if err := server.Serve(l); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}

func handler(assets http.Handler) http.Handler {
	mux := http.NewServeMux()
	mux.Handle("GET "+route.Static(), assets)
	mux.HandleFunc("GET /{$}", func(w http.ResponseWriter, r *http.Request) {
		base := basePage(r)
		base.Title, base.Active = "Gallery", ui.NavToday
		write(w, r, http.StatusOK, index(base, entries))
	})
	for _, e := range entries {
		mux.HandleFunc("GET "+e.path(), func(w http.ResponseWriter, r *http.Request) {
			write(w, r, http.StatusOK, e.Page(basePage(r)))
		})
	}
	// What these pages fill in by script has no place of its own here.
	for _, path := range []string{"/jobs/{id}/chance", "/plan/what-if/chances", "/together", "/photos/{id}/small", "/jobs/{id}/card/live", "/jobs/{id}/card/count", "/help/{link}/jobs/{id}/card/live", "/help/{link}/jobs/{id}/card/count"} {
		mux.HandleFunc("GET "+path, func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusNoContent) })
	}
	mux.HandleFunc("POST "+route.Theme(), chooseTheme)
	mux.HandleFunc("POST /", echo)
	mux.HandleFunc("GET /", func(w http.ResponseWriter, r *http.Request) {
		write(w, r, http.StatusNotFound, notFound(basePage(r)))
	})
	return mux
}

// basePage is the shell of every entry. The theme comes from the query, so that a picture can be taken of each, or the cookie.
func basePage(r *http.Request) ui.Page {
	theme := r.URL.Query().Get("theme")
	if c, err := r.Cookie("theme"); err == nil && theme == "" {
		theme = c.Value
	}
	return ui.Page{Title: "Gallery", Theme: theme, Assets: web.Base(), Path: r.URL.Path, Build: "gallery"}
}

func write(w http.ResponseWriter, r *http.Request, status int, page templ.Component) {
	var b bytes.Buffer
	if err := page.Render(r.Context(), &b); err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Content-Security-Policy", web.ContentSecurityPolicy)
	w.WriteHeader(status)
	b.WriteTo(w)
}

func chooseTheme(w http.ResponseWriter, r *http.Request) {
	http.SetCookie(w, &http.Cookie{Name: "theme", Value: r.FormValue("theme"), Path: "/", MaxAge: 365 * 24 * 3600, SameSite: http.SameSiteLaxMode})
	back := r.FormValue("back")
	if !strings.HasPrefix(back, "/") || strings.HasPrefix(back, "//") || strings.Contains(back, `\`) {
		back = "/"
	}
	http.Redirect(w, r, back, http.StatusSeeOther)
}

// echo answers a form with what it sent.
func echo(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseMultipartForm(1 << 20); err != nil && !errors.Is(err, http.ErrNotMultipart) {
		http.Error(w, err.Error(), http.StatusBadRequest)
		return
	}
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	for name, values := range r.PostForm {
		fmt.Fprintf(w, "%s = %q\n", name, values)
	}
}
