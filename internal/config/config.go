// Package config reads what the program is started with: flags, then environment, then defaults. The command alone knows
// it; everything below gets values.
package config

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/netip"
	"os"
	"strconv"
	"strings"
	"text/tabwriter"
)

// Config is all that the program is started with.
type Config struct {
	Listen         string         // address to listen on
	Data           string         // data directory of the private Postgres; empty is the usual place
	DatabaseURL    string         // a Postgres to use in place of the private one
	PgBin          string         // where initdb and postgres are; empty searches
	FetchPostgres  bool           // have npm fetch Postgres when none is found
	Demo           bool           // fill an empty database with the demo garage and print a link that signs in
	AllowedHosts   []string       // names to answer to, besides addresses, localhost and this machine's own name
	TrustedProxies []netip.Prefix // whose forwarded headers are believed
	Metrics        string         // address for figures to read by a Prometheus; empty is none
	Dev            bool           // read style sheets and scripts from web/static at each request
	LogLevel       slog.Level
}

// option is one setting: -name on the command line, AXLESTAND_NAME in the environment.
type option struct {
	name     string
	fallback string
	help     string
	yesNo    bool
	secret   bool // may also be read from the file that AXLESTAND_NAME_FILE names
	read     func(c *Config, value string) error
}

var options = []option{
	{name: "listen", fallback: "127.0.0.1:8080", help: "address and port to listen on", read: readListen},
	{name: "data", help: "data directory of the private database (default: /var/lib/axlestand for root, else below the home; the demo has its own beside it)", read: func(c *Config, v string) error {
		c.Data = v
		return nil
	}},
	{name: "database-url", secret: true, help: "use this Postgres (14 or later) instead of a private one", read: readDatabaseURL},
	{name: "pg-bin", help: "directory of the Postgres programs (default: searched for)", read: func(c *Config, v string) error {
		c.PgBin = v
		return nil
	}},
	{name: "fetch-postgres", fallback: "true", yesNo: true, help: "have npm fetch Postgres when none is found", read: func(c *Config, v string) error {
		return readYesNo(v, &c.FetchPostgres)
	}},
	{name: "demo", fallback: "false", yesNo: true, help: "fill an empty database with the demo garage and print a link that signs in; only on a loopback address", read: func(c *Config, v string) error {
		return readYesNo(v, &c.Demo)
	}},
	{name: "allowed-hosts", help: "further names to answer to, with commas between", read: readHosts},
	{name: "trusted-proxies", help: "addresses or networks (192.0.2.7, 10.0.0.0/8) whose X-Forwarded-For and -Proto are believed, with commas between", read: readProxies},
	{name: "metrics", help: "address and port for figures that a Prometheus reads at /metrics, without a sign-in (default: none)", read: func(c *Config, v string) error {
		return readAddress(v, &c.Metrics)
	}},
	{name: "dev", fallback: "false", yesNo: true, help: "read style sheets and scripts from web/static at each request", read: func(c *Config, v string) error {
		return readYesNo(v, &c.Dev)
	}},
	{name: "log-level", fallback: "info", help: "debug, info, warn or error", read: readLevel},
}

func (o option) env() string {
	return "AXLESTAND_" + strings.ToUpper(strings.ReplaceAll(o.name, "-", "_"))
}

// given is a flag as typed; it is read when all of them are known, so that every bad one is reported.
type given struct {
	value string
	set   bool
	yesNo bool
}

func (g *given) String() string   { return "" }
func (g *given) IsBoolFlag() bool { return g.yesNo }
func (g *given) Set(v string) error {
	g.value, g.set = v, true
	return nil
}

// Load reads flags and environment, and reports everything that is wrong in one error, a line for each. The error is
// [flag.ErrHelp] when help was asked for; [Usage] writes it.
func Load(args []string, getenv func(string) string) (Config, error) {
	var c Config
	flags := flag.NewFlagSet("axlestand", flag.ContinueOnError)
	flags.SetOutput(io.Discard)
	typed := make([]given, len(options))
	for i, o := range options {
		typed[i].yesNo = o.yesNo
		flags.Var(&typed[i], o.name, o.help)
	}
	if err := flags.Parse(args); err != nil {
		return c, err
	}
	var problems []error
	if flags.NArg() > 0 {
		problems = append(problems, fmt.Errorf("unexpected argument %q", flags.Arg(0)))
	}
	for i, o := range options {
		value, source, err := o.value(typed[i], getenv)
		if err == nil {
			err = o.read(&c, value)
		}
		if err != nil {
			problems = append(problems, fmt.Errorf("%s: %w", source, err))
		}
	}
	if c.Demo && !loopback(c.Listen) {
		problems = append(problems, fmt.Errorf("-demo: signs in whoever has the link, so it needs a loopback address, not %s", c.Listen))
	}
	return c, errors.Join(problems...)
}

// value finds what a setting is set to, and says where.
func (o option) value(typed given, getenv func(string) string) (value, source string, err error) {
	if typed.set {
		return typed.value, "-" + o.name, nil
	}
	value, source = getenv(o.env()), o.env()
	if o.secret {
		if path := getenv(o.env() + "_FILE"); path != "" {
			if value != "" {
				return "", source, errors.New("give either this or its _FILE, not both")
			}
			content, err := os.ReadFile(path)
			return strings.TrimSpace(string(content)), source + "_FILE", err
		}
	}
	if value == "" {
		return o.fallback, "-" + o.name, nil
	}
	return value, source, nil
}

func readListen(c *Config, v string) error {
	if v == "" {
		return errors.New(`"" is not an address like 127.0.0.1:8080`)
	}
	return readAddress(v, &c.Listen)
}

// readAddress reads one to listen on; none stays none.
func readAddress(v string, target *string) error {
	if v == "" {
		return nil
	}
	_, port, err := net.SplitHostPort(v)
	if err != nil {
		return fmt.Errorf("%q is not an address like 127.0.0.1:8080", v)
	}
	if n, err := strconv.Atoi(port); err != nil || n < 0 || n > 65535 {
		return fmt.Errorf("%q has no port from 0 to 65535", v)
	}
	*target = v
	return nil
}

// readDatabaseURL keeps the value out of its message: it holds a password.
func readDatabaseURL(c *Config, v string) error {
	if v != "" && !strings.HasPrefix(v, "postgres://") && !strings.HasPrefix(v, "postgresql://") {
		return errors.New("must begin with postgres://")
	}
	c.DatabaseURL = v
	return nil
}

func readYesNo(v string, target *bool) error {
	yes, err := strconv.ParseBool(v)
	if err != nil {
		return fmt.Errorf("%q is neither true nor false", v)
	}
	*target = yes
	return nil
}

func readHosts(c *Config, v string) error {
	for _, host := range list(v) {
		if strings.ContainsAny(host, "/:*@ ") {
			return fmt.Errorf("%q is not a plain host name; leave out scheme and port", host)
		}
		c.AllowedHosts = append(c.AllowedHosts, strings.ToLower(host))
	}
	return nil
}

func readProxies(c *Config, v string) error {
	for _, one := range list(v) {
		prefix, err := netip.ParsePrefix(one)
		if addr, addrErr := netip.ParseAddr(one); addrErr == nil {
			prefix, err = netip.PrefixFrom(addr, addr.BitLen()), nil
		}
		if err != nil {
			return fmt.Errorf("%q is neither an address nor a network like 10.0.0.0/8", one)
		}
		c.TrustedProxies = append(c.TrustedProxies, prefix.Masked())
	}
	return nil
}

func readLevel(c *Config, v string) error {
	if err := c.LogLevel.UnmarshalText([]byte(v)); err != nil {
		return fmt.Errorf("%q is none of debug, info, warn, error", v)
	}
	return nil
}

func list(v string) []string {
	return strings.FieldsFunc(v, func(r rune) bool { return r == ',' || r == ' ' })
}

func loopback(listen string) bool {
	host, _, err := net.SplitHostPort(listen)
	if err != nil {
		return true // reported already
	}
	addr, err := netip.ParseAddr(host)
	return host == "localhost" || err == nil && addr.IsLoopback()
}

// Usage writes every setting with its flag, variable and default.
func Usage(w io.Writer) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, o := range options {
		fallback := ""
		if o.fallback != "" {
			fallback = " (default " + o.fallback + ")"
		}
		variable := o.env()
		if o.secret {
			variable += " or " + o.env() + "_FILE"
		}
		fmt.Fprintf(t, "  -%s\t%s%s\n\t  %s\n", o.name, o.help, fallback, variable)
	}
	t.Flush()
}
