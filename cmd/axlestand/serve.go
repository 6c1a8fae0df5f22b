package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"os"
	"time"

	"axlestand/internal/config"
	"axlestand/internal/exchange"
	"axlestand/internal/garage"
	"axlestand/internal/postgres"
	"axlestand/internal/server"
	"axlestand/testdata"
	"axlestand/web/route"
)

// drain is how long requests under way may take once the program is told to end.
const drain = 10 * time.Second

// serve answers browsers until ctx ends.
func serve(ctx context.Context, args []string, getenv func(string) string, stdout io.Writer) (err error) {
	c, err := config.Load(args, getenv)
	if err != nil {
		return err
	}
	log := slog.New(slog.NewJSONHandler(os.Stderr, &slog.HandlerOptions{Level: c.LogLevel}))
	// Before the database: a taken port is found out at once, and early visitors wait instead of being refused.
	listener, err := new(net.ListenConfig).Listen(ctx, "tcp", c.Listen)
	if err != nil {
		return err
	}
	defer listener.Close()
	db, err := openDatabase(ctx, c, getenv, stdout)
	if err != nil && ctx.Err() != nil {
		return nil // told to end while starting: nothing is wrong
	}
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.close()) }()
	store := postgres.New(db.pool)
	options := serverOptions(c, store, log)
	handler := server.New(options)
	for _, address := range addresses(listener.Addr()) {
		fmt.Fprintln(stdout, "Axlestand is at", address)
	}
	if err := greet(ctx, c, options, handler, addresses(listener.Addr())[0], stdout); err != nil {
		return err
	}
	if db.backups != "" && !c.Demo {
		saving, stop := context.WithCancel(ctx)
		defer stop()
		go saveDaily(saving, db.pool, db.backups, log)
	}
	forgetting, stop := context.WithCancel(ctx)
	defer stop()
	go forgetDaily(forgetting, store, log)
	go handler.FollowCards(ctx, func(ctx context.Context, ready func(), heard func(garage.JobID, int64)) error {
		return postgres.ListenCards(ctx, db.pool, ready, heard)
	})
	figures, err := serveMetrics(ctx, c.Metrics, handler.Metrics(postgres.Figures(db.pool)), stdout, log)
	if err != nil {
		return err
	}
	defer figures()
	return answer(ctx, handler, listener, db, log)
}

// serveMetrics answers a Prometheus on a listener of its own, unless address is empty; what it returns ends it.
func serveMetrics(ctx context.Context, address string, handler http.Handler, stdout io.Writer, log *slog.Logger) (end func(), err error) {
	if address == "" {
		return func() {}, nil
	}
	listener, err := new(net.ListenConfig).Listen(ctx, "tcp", address)
	if err != nil {
		return nil, err
	}
	fmt.Fprintf(stdout, "Figures are at http://%s/metrics\n", listener.Addr())
	srv := &http.Server{
		Handler: handler, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 10 * time.Second, WriteTimeout: 10 * time.Second,
		MaxHeaderBytes: 8 << 10, ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelWarn),
	}
	go func() {
		if err := srv.Serve(listener); !errors.Is(err, http.ErrServerClosed) {
			log.Error("figures ended", "error", err)
		}
	}()
	return func() { srv.Close() }, nil
}

// remembered is how long it is known what was done under which key: longer than a phone lies in a drawer.
const remembered = 90 * 24 * time.Hour

// forgetDaily forgets old operations, at the start and each day as long as ctx lasts.
func forgetDaily(ctx context.Context, store *postgres.Store, log *slog.Logger) {
	for {
		if err := store.ForgetOperations(ctx, time.Now().Add(-remembered)); err != nil && ctx.Err() == nil {
			log.Error("old operations not forgotten", "error", err)
		}
		select {
		case <-ctx.Done():
			return
		case <-time.After(24 * time.Hour):
		}
	}
}

func serverOptions(c config.Config, store *postgres.Store, log *slog.Logger) server.Options {
	o := server.Options{
		Store: store, Now: time.Now, Log: log, Build: version(), AllowedHosts: c.AllowedHosts, TrustedProxies: c.TrustedProxies,
	}
	if c.Dev {
		o.StaticDir = "web/static"
	}
	return o
}

// answer serves until ctx ends or the private Postgres does, then lets requests under way finish.
func answer(ctx context.Context, handler http.Handler, listener net.Listener, db *database, log *slog.Logger) error {
	srv := &http.Server{
		Handler:           handler,
		ReadHeaderTimeout: 10 * time.Second,
		ReadTimeout:       time.Minute, // the far end of the workshop has slow Wi-Fi
		WriteTimeout:      time.Minute,
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    64 << 10,
		ErrorLog:          slog.NewLogLogger(log.Handler(), slog.LevelWarn),
	}
	failed := make(chan error, 1)
	go func() { failed <- srv.Serve(listener) }()
	select {
	case err := <-failed:
		return err
	case <-db.ended():
		srv.Close()
		return fmt.Errorf("the database ended by itself: %w", db.local.Err())
	case <-ctx.Done():
	}
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), drain)
	defer cancel()
	if err := srv.Shutdown(ctx); err != nil {
		log.Warn("some requests were cut off", "error", err)
		srv.Close()
	}
	return nil
}

// greet prints how to get in: the code that claims a new garage, or in the demo a link that signs in.
func greet(ctx context.Context, c config.Config, o server.Options, handler *server.Server, address string, stdout io.Writer) error {
	if c.Demo {
		return openDemo(ctx, o, handler, address, stdout)
	}
	claimed, err := o.Store.Claimed(ctx)
	if err != nil || claimed {
		return err
	}
	code := rand.Text()[:16] // 80 bits
	if err := o.Store.SetClaimCode(ctx, server.CodeHash(code), o.Now().Add(time.Hour)); err != nil {
		return err
	}
	fmt.Fprintf(stdout, "It is new. Claim it at %s within 60 minutes with the code %s-%s-%s-%s\n",
		address+route.Claim()[1:], code[:4], code[4:8], code[8:12], code[12:])
	return nil
}

// openDemo fills an empty database with the demo garage, and prints a link that signs in once. A garage that nobody owns yet
// gets an owner whose password nobody knows; `user -password` sets another.
func openDemo(ctx context.Context, o server.Options, handler *server.Server, address string, stdout io.Writer) error {
	records, err := exchange.ReadDemo(testdata.Demo, garage.DateOf(o.Now()))
	if err != nil {
		return err
	}
	if err := o.Store.Fill(ctx, records); err != nil && !errors.Is(err, postgres.ErrNotEmpty) {
		return err
	}
	err = o.Store.ClaimFromHost(ctx, server.HashPassword(rand.Text()), o.Now())
	if err != nil && !errors.Is(err, garage.ErrConflict) {
		return err
	}
	token := rand.Text()
	handler.AllowEntry(token)
	fmt.Fprintln(stdout, "Open it signed in, once:", address+route.Enter(token)[1:])
	return nil
}

// addresses are those to type into a browser: of a program that listens everywhere, all of this machine, its own first.
func addresses(listening net.Addr) []string {
	host, port, err := net.SplitHostPort(listening.String())
	if err != nil {
		return []string{"http://" + listening.String() + "/"}
	}
	hosts := []string{host}
	if ip := net.ParseIP(host); ip != nil && ip.IsUnspecified() {
		hosts = append([]string{"127.0.0.1"}, ownAddresses()...)
	}
	urls := make([]string, len(hosts))
	for i, h := range hosts {
		urls[i] = "http://" + net.JoinHostPort(h, port) + "/"
	}
	return urls
}

// ownAddresses are those by which other machines of the home network reach this one.
func ownAddresses() []string {
	var found []string
	all, err := net.InterfaceAddrs()
	if err != nil {
		return nil // it listens all the same; only the hint is missing
	}
	for _, a := range all {
		if n, ok := a.(*net.IPNet); ok && n.IP.IsGlobalUnicast() {
			found = append(found, n.IP.String())
		}
	}
	return found
}
