package config

import (
	"bytes"
	"errors"
	"flag"
	"log/slog"
	"net/netip"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// plain is what comes of no flags and an empty environment.
var plain = Config{Listen: "127.0.0.1:8080", FetchPostgres: true, LogLevel: slog.LevelInfo}

func with(change func(*Config)) Config {
	c := plain
	change(&c)
	return c
}

func TestLoad(t *testing.T) {
	t.Parallel()
	secret := filepath.Join(t.TempDir(), "url")
	if err := os.WriteFile(secret, []byte("postgres://owner:pw@db/axlestand\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		args string
		env  map[string]string
		want Config
	}{
		"nothing": {want: plain},
		"a flag":  {args: "-listen :9090", want: with(func(c *Config) { c.Listen = ":9090" })},
		"two dashes and an equals sign": {
			args: "--listen=[::1]:9090", want: with(func(c *Config) { c.Listen = "[::1]:9090" }),
		},
		"a variable": {env: map[string]string{"AXLESTAND_DATA": "/srv/garage"}, want: with(func(c *Config) { c.Data = "/srv/garage" })},
		"a flag wins over its variable": {
			args: "-data here", env: map[string]string{"AXLESTAND_DATA": "there"}, want: with(func(c *Config) { c.Data = "here" }),
		},
		"an empty flag wins too": {
			args: "-data=", env: map[string]string{"AXLESTAND_DATA": "there"}, want: plain,
		},
		"yes and no": {
			args: "-demo -fetch-postgres=false", env: map[string]string{"AXLESTAND_DEV": "1"},
			want: with(func(c *Config) { c.Demo, c.FetchPostgres, c.Dev = true, false, true }),
		},
		"a secret from a file": {
			env:  map[string]string{"AXLESTAND_DATABASE_URL_FILE": secret},
			want: with(func(c *Config) { c.DatabaseURL = "postgres://owner:pw@db/axlestand" }),
		},
		"a flag wins over a secret's file": {
			args: "-database-url postgres:///mine", env: map[string]string{"AXLESTAND_DATABASE_URL_FILE": "/not/there"},
			want: with(func(c *Config) { c.DatabaseURL = "postgres:///mine" }),
		},
		"lists": {
			env: map[string]string{"AXLESTAND_ALLOWED_HOSTS": "Garage.test, shed.test", "AXLESTAND_TRUSTED_PROXIES": "10.1.2.3/8,192.0.2.7,2001:db8::/32"},
			want: with(func(c *Config) {
				c.AllowedHosts = []string{"garage.test", "shed.test"}
				c.TrustedProxies = []netip.Prefix{
					netip.MustParsePrefix("10.0.0.0/8"), netip.MustParsePrefix("192.0.2.7/32"), netip.MustParsePrefix("2001:db8::/32"),
				}
			}),
		},
		"figures": {args: "-metrics 127.0.0.1:9464", want: with(func(c *Config) { c.Metrics = "127.0.0.1:9464" })},
		"a level": {args: "-log-level warn -pg-bin /opt/pg/bin", want: with(func(c *Config) { c.LogLevel, c.PgBin = slog.LevelWarn, "/opt/pg/bin" })},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			got, err := Load(strings.Fields(c.args), func(name string) string { return c.env[name] })
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(c.want, got, cmp.Comparer(func(a, b netip.Prefix) bool { return a == b })); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestLoad_refuses(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		args string
		env  map[string]string
		want string
	}{
		"everything at once": {
			args: "-listen nowhere -demo=perhaps -log-level loud",
			env: map[string]string{
				"AXLESTAND_DATABASE_URL": "mysql://owner:secret@db", "AXLESTAND_ALLOWED_HOSTS": "https://garage.test",
				"AXLESTAND_TRUSTED_PROXIES": "10.0.0.0/99",
			},
			want: `-listen: "nowhere" is not an address like 127.0.0.1:8080
AXLESTAND_DATABASE_URL: must begin with postgres://
-demo: "perhaps" is neither true nor false
AXLESTAND_ALLOWED_HOSTS: "https://garage.test" is not a plain host name; leave out scheme and port
AXLESTAND_TRUSTED_PROXIES: "10.0.0.0/99" is neither an address nor a network like 10.0.0.0/8
-log-level: "loud" is none of debug, info, warn, error`,
		},
		"a port that is none":  {args: "-listen :99999", want: `-listen: ":99999" has no port from 0 to 65535`},
		"a file that is not":   {env: map[string]string{"AXLESTAND_DATABASE_URL_FILE": "/not/there"}, want: "AXLESTAND_DATABASE_URL_FILE: open /not/there: no such file or directory"},
		"a secret given twice": {env: map[string]string{"AXLESTAND_DATABASE_URL_FILE": "x", "AXLESTAND_DATABASE_URL": "postgres:///x"}, want: "AXLESTAND_DATABASE_URL: give either this or its _FILE, not both"},
		"figures nowhere":      {args: "-metrics nowhere", want: `-metrics: "nowhere" is not an address like 127.0.0.1:8080`},
		"a stray word":         {args: "-dev now", want: `unexpected argument "now"`},
		"an unknown flag":      {args: "-port 80", want: "flag provided but not defined: -port"},
		"the demo in public":   {args: "-demo -listen 0.0.0.0:8080", want: "-demo: signs in whoever has the link, so it needs a loopback address, not 0.0.0.0:8080"},
		"the demo on any":      {args: "-demo -listen :8080", want: "-demo: signs in whoever has the link, so it needs a loopback address, not :8080"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, err := Load(strings.Fields(c.args), func(name string) string { return c.env[name] })
			if err == nil || err.Error() != c.want {
				t.Errorf("got  %v\nwant %s", err, c.want)
			}
		})
	}
}

func TestLoad_demoOnLoopback(t *testing.T) {
	t.Parallel()
	for _, listen := range []string{"127.0.0.1:0", "127.9.9.9:80", "[::1]:80", "localhost:80"} {
		if _, err := Load([]string{"-demo", "-listen", listen}, func(string) string { return "" }); err != nil {
			t.Errorf("%s: %v", listen, err)
		}
	}
}

func TestUsage(t *testing.T) {
	t.Parallel()
	if _, err := Load([]string{"-h"}, func(string) string { return "" }); !errors.Is(err, flag.ErrHelp) {
		t.Errorf("-h: %v", err)
	}
	var b bytes.Buffer
	Usage(&b)
	for _, o := range options {
		if !strings.Contains(b.String(), "-"+o.name+" ") || !strings.Contains(b.String(), o.env()) {
			t.Errorf("help does not name %s", o.name)
		}
	}
}
