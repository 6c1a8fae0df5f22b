package main

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"time"

	"axlestand/internal/config"
)

// healthcheck asks the program that listens on the configured address whether it runs; an error when it does not.
func healthcheck(ctx context.Context, args []string, getenv func(string) string) error {
	c, err := config.Load(args, getenv)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(ctx, 5*time.Second)
	defer cancel()
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, "http://"+local(c.Listen)+"/healthz", nil)
	if err != nil {
		return err
	}
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		return err
	}
	defer resp.Body.Close()
	if resp.StatusCode != http.StatusOK {
		return fmt.Errorf("%s answers %s", req.URL, resp.Status)
	}
	return nil
}

// local is where this machine reaches what listens on an address; one without a host listens everywhere.
func local(listen string) string {
	host, port, err := net.SplitHostPort(listen)
	if err != nil {
		return listen // config has checked it
	}
	if ip := net.ParseIP(host); host == "" || ip != nil && ip.IsUnspecified() {
		host = "127.0.0.1"
	}
	return net.JoinHostPort(host, port)
}
