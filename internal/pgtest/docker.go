package pgtest

import (
	"context"
	"fmt"
	"net/url"
	"time"

	"github.com/testcontainers/testcontainers-go"
	"github.com/testcontainers/testcontainers-go/log"
	"github.com/testcontainers/testcontainers-go/wait"
)

// image is what Docker runs.
const image = "postgres:17-alpine"

// openDocker runs Postgres in a container, which testcontainers removes even if this process is killed.
func openDocker() (*server, error) {
	log.SetDefault(log.NewNoopLogger())
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Minute)
	defer cancel()
	if err := dockerAnswers(ctx); err != nil {
		return nil, fmt.Errorf("%w (Docker: %w)", errNone, err)
	}
	c, err := testcontainers.Run(ctx, image,
		testcontainers.WithEnv(map[string]string{"POSTGRES_PASSWORD": "test"}),
		testcontainers.WithCmd("postgres", "-c", "fsync=off", "-c", "synchronous_commit=off", "-c", "max_connections=120"),
		testcontainers.WithTmpfs(map[string]string{"/var/lib/postgresql/data": "rw"}),
		testcontainers.WithExposedPorts("5432/tcp"),
		// The image starts the server twice: first to make the cluster, without TCP, and then for good.
		testcontainers.WithWaitStrategy(wait.ForAll(
			wait.ForLog("database system is ready to accept connections").WithOccurrence(2),
			wait.ForListeningPort("5432/tcp"),
		)),
	)
	stop := func() { testcontainers.TerminateContainer(c) }
	if err != nil {
		stop()
		return nil, err
	}
	address, err := c.PortEndpoint(ctx, "5432/tcp", "")
	if err != nil {
		stop()
		return nil, err
	}
	return newServer(func(database string) string { return containerURL(address, database) }, "postgres", 80, stop)
}

func containerURL(address, database string) string {
	u := url.URL{
		Scheme: "postgres", User: url.UserPassword("postgres", "test"), Host: address, Path: "/" + database,
		RawQuery: "sslmode=disable",
	}
	return u.String()
}

// dockerAnswers is nil if containers can be run. The library panics where it finds no trace of Docker.
func dockerAnswers(ctx context.Context) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("%v", r)
		}
	}()
	provider, err := testcontainers.ProviderDocker.GetProvider()
	if err != nil {
		return err
	}
	return provider.Health(ctx)
}
