package localpg

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// Running is the connection string of a database of the cluster that another program runs in dir, for a visit from the same
// machine by root or by the user that Postgres runs as.
func Running(dir, dbname string) (string, error) {
	content, err := os.ReadFile(filepath.Join(dir, "pg", "postmaster.pid"))
	if err != nil {
		return "", fmt.Errorf("no Postgres runs in %s: %w", dir, err)
	}
	// Its fifth line is the socket's directory (postmaster.pid, src/include/utils/pidfile.h).
	lines := strings.Split(string(content), "\n")
	if len(lines) < 5 || lines[4] == "" {
		return "", errors.New("postmaster.pid does not say where Postgres listens")
	}
	c := Cluster{socketDir: lines[4]}
	return c.URL(dbname), nil
}
