//go:build !postgres

package main

import (
	"context"
	"errors"

	"fairburn/journal"
)

// openServer is left out of the usual program, which it would make a sixth larger.
func openServer(context.Context, string) (journal.Store, error) {
	return nil, hinted{errors.New("this program was built without PostgreSQL"), "build it with go build -tags postgres ./cmd/fairburn, or name a bench file"}
}
