package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"axlestand/internal/config"
	"axlestand/internal/garage"
	"axlestand/internal/localpg"
	"axlestand/internal/postgres"
	"axlestand/internal/server"
)

// user sets the owner's password and signs every browser out. Whoever may start the program may do so: it is the way back
// in when the password is lost. It works beside a running program too.
func user(ctx context.Context, args []string, getenv func(string) string, stdin io.Reader, stdout io.Writer) error {
	isPassword := func(arg string) bool { return arg == "-password" || arg == "--password" }
	rest := slices.DeleteFunc(slices.Clone(args), isPassword)
	c, err := config.Load(rest, getenv)
	if err != nil {
		return err
	}
	if len(rest) == len(args) {
		return errors.New("say what to do: axlestand user -password")
	}
	db, err := visitDatabase(ctx, c, getenv, stdout)
	if err != nil {
		return err
	}
	return errors.Join(setPassword(ctx, postgres.New(db.pool), stdin, stdout), db.close())
}

// visitDatabase opens the database, through the running program's Postgres when there is one.
func visitDatabase(ctx context.Context, c config.Config, getenv func(string) string, stdout io.Writer) (*database, error) {
	db, err := openDatabase(ctx, c, getenv, stdout)
	if !errors.Is(err, localpg.ErrInUse) {
		return db, err
	}
	dir, err := dataDir(c, getenv)
	if err != nil {
		return nil, err
	}
	url, err := localpg.Running(dir, "axlestand")
	if err != nil {
		return nil, err
	}
	pool, err := postgres.Open(ctx, url)
	if err != nil {
		return nil, oneLine(err)
	}
	return &database{pool: pool}, nil
}

func setPassword(ctx context.Context, store *postgres.Store, stdin io.Reader, stdout io.Writer) error {
	fmt.Fprintln(stdout, "New password, then Enter (it shows while you type):")
	line, err := bufio.NewReader(stdin).ReadString('\n')
	if err != nil && !errors.Is(err, io.EOF) {
		return err
	}
	password := strings.TrimRight(line, "\r\n")
	if wrong := server.PasswordProblem(password); wrong != "" {
		return errors.New("password: " + wrong)
	}
	hash := server.HashPassword(password)
	err = store.SetPassword(ctx, hash, nil)
	if errors.Is(err, garage.ErrNotFound) {
		err = store.ClaimFromHost(ctx, hash, time.Now())
	}
	if err != nil {
		return err
	}
	fmt.Fprintln(stdout, "Password set. Every browser is signed out.")
	return nil
}
