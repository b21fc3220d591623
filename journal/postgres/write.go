package postgres

import (
	"context"
	"strconv"

	"github.com/jackc/pgx/v5"

	"fairburn/journal"
)

// insert adds one record unless it is barred or here, and tells which it was.
const insert = `
WITH barred AS (SELECT 1 FROM fairburn.shunned WHERE id = $1),
put AS (
	INSERT INTO fairburn.record (id, signer, signature, received, source, head, body)
	SELECT $1::bytea, $2::bytea, $3::bytea, $4::timestamptz, $5::text, $6::bytea, $7::bytea
	WHERE NOT EXISTS (SELECT 1 FROM barred)
	ON CONFLICT (id) DO NOTHING RETURNING seq)
SELECT coalesce((SELECT seq FROM put), 0), EXISTS (SELECT 1 FROM barred)`

// Append keeps what is new; it shares its transaction with whoever else waits here.
func (s *Store) Append(ctx context.Context, b journal.Batch) ([]journal.Outcome, error) {
	return s.committer.Append(ctx, b)
}

// commit writes batches in one transaction. It is called by the committer alone.
func (s *Store) commit(ctx context.Context, batches []journal.Batch) ([][]journal.Outcome, error) {
	all := make([][]journal.Outcome, len(batches))
	err := s.inTurn(ctx, func(tx pgx.Tx) error {
		var queue pgx.Batch
		newest := int64(0)
		for i, b := range batches {
			all[i] = make([]journal.Outcome, len(b.Records))
			for j, r := range b.Records {
				head, body := r.Split()
				queue.Queue(insert, r.ID[:], []byte(r.Signer), r.Signature, b.Receipt.At, b.Receipt.From, head, body).
					QueryRow(func(row pgx.Row) error {
						var seq int64
						var barred bool
						err := row.Scan(&seq, &barred)
						all[i][j] = outcome(seq, barred)
						newest = max(newest, seq)
						return err
					})
			}
		}
		if err := tx.SendBatch(ctx, &queue).Close(); err != nil {
			return err
		}
		if newest == 0 {
			return nil
		}
		return notify(ctx, tx, newest)
	})
	if err != nil {
		return nil, s.explain("writing to", err)
	}
	return all, nil
}

func outcome(seq int64, barred bool) journal.Outcome {
	switch {
	case barred:
		return journal.Barred
	case seq > 0:
		return journal.Added
	}
	return journal.Known
}

// notify has the server tell every listener, if and when the transaction commits.
func notify(ctx context.Context, tx pgx.Tx, seq int64) error {
	_, err := tx.Exec(ctx, "SELECT pg_notify($1, $2)", channel, strconv.FormatInt(seq, 10))
	return err
}

// Shun removes records and bars them. The server may keep their bytes in its
// write-ahead log, its backups and freed space until it reuses them.
func (s *Store) Shun(ctx context.Context, list []journal.Shunned) error {
	err := s.inTurn(ctx, func(tx pgx.Tx) error {
		for _, x := range list {
			_, err := tx.Exec(ctx, "INSERT INTO fairburn.shunned (id, at, why) VALUES ($1, $2, $3) ON CONFLICT DO NOTHING", x.ID[:], x.At, x.Why)
			if err != nil {
				return err
			}
			if _, err := tx.Exec(ctx, "DELETE FROM fairburn.record WHERE id = $1", x.ID[:]); err != nil {
				return err
			}
		}
		var seq int64
		if err := tx.QueryRow(ctx, newest).Scan(&seq); err != nil {
			return err
		}
		return notify(ctx, tx, seq)
	})
	return s.explain("shunning in", err)
}

// Backup writes an exchange file. It carries neither receipts nor the shun list;
// the server's own backup does.
func (s *Store) Backup(ctx context.Context, path string) error {
	return s.explain("backing up", journal.BackupText(ctx, s, path))
}
