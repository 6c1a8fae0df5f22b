//go:build !linux && !darwin

package localpg

import (
	"context"
	"fmt"
)

type search struct{}

// Start returns ErrUnsupported: only Linux and macOS have what the private cluster rests on.
func Start(context.Context, Options) (*Cluster, error) {
	return nil, fmt.Errorf("%w: it needs Linux or macOS; use docker compose up, or name a Postgres of your own", ErrUnsupported)
}
