package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5/pgconn"

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
	var queue pgconn.Batch
	count, sent := 0, 0
	for _, b := range batches {
		for _, r := range b.Records {
			head, body := r.Split()
			values := [][]byte{r.ID[:], r.Signer, r.Signature, moment(b.Receipt.At), []byte(b.Receipt.From), head, body}
			queue.ExecPrepared("insert", values, binaries, binaries)
			count, sent = count+1, sent+len(r.Bytes)
		}
	}
	flat := make([]journal.Outcome, 0, count)
	err := s.inTurn(ctx, sent, func(ctx context.Context, conn *pgconn.PgConn) error {
		if err := prepared(ctx, conn, "insert", insert); err != nil {
			return err
		}
		results, err := conn.ExecBatch(ctx, &queue).ReadAll()
		if err != nil {
			return err
		}
		newest := int64(0)
		for _, r := range results {
			seq, barred := asNumber(r.Rows[0][0]), r.Rows[0][1][0] != 0
			flat = append(flat, outcome(seq, barred))
			newest = max(newest, seq)
		}
		if newest == 0 {
			return nil
		}
		return notify(ctx, conn, fmt.Sprint(newest))
	})
	if err != nil {
		return nil, s.explain(ctx, "writing to", err)
	}
	all := make([][]journal.Outcome, len(batches))
	for i, b := range batches {
		all[i], flat = flat[:len(b.Records)], flat[len(b.Records):]
	}
	return all, nil
}

// prepared has the server plan a statement once for each connection: planning
// the insert takes longer than running it.
func prepared(ctx context.Context, conn *pgconn.PgConn, name, statement string) error {
	if conn.CustomData()[name] != nil {
		return nil
	}
	plan, err := conn.Prepare(ctx, name, statement, nil)
	if err == nil {
		conn.CustomData()[name] = plan
	}
	return err
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
func notify(ctx context.Context, conn *pgconn.PgConn, seq string) error {
	return conn.Exec(ctx, fmt.Sprintf("SELECT pg_notify('%s', '%s')", channel, seq)).Close()
}

// Shun removes records and bars them. The server may keep their bytes in its
// write-ahead log, its backups and freed space until it reuses them.
func (s *Store) Shun(ctx context.Context, list []journal.Shunned) error {
	var queue pgconn.Batch
	for _, x := range list {
		bar := [][]byte{x.ID[:], moment(x.At), []byte(x.Why)}
		queue.ExecParams("INSERT INTO fairburn.shunned (id, at, why) VALUES ($1, $2, $3) ON CONFLICT DO NOTHING", bar, nil, binaries, nil)
		queue.ExecParams("DELETE FROM fairburn.record WHERE id = $1", bar[:1], nil, binaries, nil)
	}
	err := s.inTurn(ctx, 0, func(ctx context.Context, conn *pgconn.PgConn) error {
		if err := conn.ExecBatch(ctx, &queue).Close(); err != nil {
			return err
		}
		row, err := one(ctx, conn, newest)
		if err != nil {
			return err
		}
		return notify(ctx, conn, string(row[0]))
	})
	return s.explain(ctx, "shunning in", err)
}

// Backup writes an exchange file. It carries neither receipts nor the shun list;
// the server's own backup does.
func (s *Store) Backup(ctx context.Context, path string) error {
	return s.explain(ctx, "backing up", journal.BackupText(ctx, s, path))
}
