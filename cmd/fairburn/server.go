//go:build postgres

package main

import (
	"context"

	"fairburn/journal"
	"fairburn/journal/postgres"
)

func openServer(ctx context.Context, address string) (journal.Store, error) {
	return postgres.Open(ctx, address)
}
