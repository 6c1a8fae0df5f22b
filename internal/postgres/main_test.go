package postgres_test

import (
	"testing"

	"axlestand/internal/pgtest"
)

func TestMain(m *testing.M) { pgtest.Main(m) }
