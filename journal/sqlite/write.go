package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"path/filepath"
	"time"

	"fairburn/journal"
)

// Append keeps what is new; it shares its transaction with whoever else waits.
func (s *Store) Append(ctx context.Context, b journal.Batch) ([]journal.Outcome, error) {
	return s.committer.Append(ctx, b)
}

// commit writes batches in one transaction. It is called by the committer alone.
func (s *Store) commit(batches []journal.Batch) ([][]journal.Outcome, error) {
	all, seq, err := s.insert(batches)
	if err != nil {
		return nil, s.explain("writing", err)
	}
	if seq > 0 {
		s.hub.Publish(seq)
	}
	return all, nil
}

func (s *Store) insert(batches []journal.Batch) (all [][]journal.Outcome, seq int64, err error) {
	tx, err := s.write.Begin()
	if err != nil {
		return nil, 0, err
	}
	defer tx.Rollback()
	put, err := tx.Prepare(`INSERT INTO record (id, signer, signature, received, source, head, body)
		SELECT ?1, ?2, ?3, ?4, ?5, ?6, ?7 WHERE NOT EXISTS (SELECT 1 FROM shunned WHERE id = ?1)
		ON CONFLICT (id) DO NOTHING`)
	if err != nil {
		return nil, 0, err
	}
	defer put.Close()
	for _, b := range batches {
		outcomes := make([]journal.Outcome, len(b.Records))
		for i, r := range b.Records {
			head, body := r.Split()
			res, err := put.Exec(r.ID[:], []byte(r.Signer), r.Signature, b.Receipt.At.UnixMicro(), b.Receipt.From, head, body)
			if err != nil {
				return nil, 0, err
			}
			if n, _ := res.RowsAffected(); n == 1 {
				seq, _ = res.LastInsertId()
				continue
			}
			if outcomes[i], err = whyNot(tx, r.ID); err != nil {
				return nil, 0, err
			}
		}
		all = append(all, outcomes)
	}
	return all, seq, tx.Commit()
}

// whyNot tells apart the two reasons for which a record was not inserted.
func whyNot(tx *sql.Tx, id journal.ID) (journal.Outcome, error) {
	var barred bool
	err := tx.QueryRow("SELECT EXISTS (SELECT 1 FROM shunned WHERE id = ?)", id[:]).Scan(&barred)
	if barred {
		return journal.Barred, err
	}
	return journal.Known, err
}

// Shun erases records from the file, overwriting where they were, and bars them.
func (s *Store) Shun(ctx context.Context, list []journal.Shunned) error {
	if err := s.shun(ctx, list); err != nil {
		return s.explain("shunning in", err)
	}
	// Until it is emptied the write-ahead log still holds the records' bytes.
	var busy, logged, moved int
	row := s.write.QueryRowContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)")
	if err := row.Scan(&busy, &logged, &moved); err != nil {
		return s.explain("shunning in", err)
	}
	if busy != 0 {
		return fmt.Errorf("shunning in %s: the records are barred, but somebody still reads the file, so their bytes stay in %s-wal; shun again later", s.path, s.path)
	}
	return nil
}

func (s *Store) shun(ctx context.Context, list []journal.Shunned) error {
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	for _, x := range list {
		_, err := tx.ExecContext(ctx, "INSERT INTO shunned (id, at, why) VALUES (?, ?, ?) ON CONFLICT DO NOTHING", x.ID[:], x.At.UnixMicro(), x.Why)
		if err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, "DELETE FROM record WHERE id = ?", x.ID[:]); err != nil {
			return err
		}
	}
	var seq sql.NullInt64
	if err := tx.QueryRowContext(ctx, "SELECT max(seq) FROM record").Scan(&seq); err != nil {
		return err
	}
	if err := tx.Commit(); err != nil {
		return err
	}
	s.hub.Publish(seq.Int64)
	return nil
}

// Backup writes a bench file of its own, with receipts and shun list, and reads
// it back before it gets its name.
func (s *Store) Backup(ctx context.Context, path string) error {
	full, err := filepath.Abs(path) // a file: address knows no other
	if err != nil {
		return s.explain("backing up", err)
	}
	err = journal.WriteNew(full, func(beside string) error {
		db, err := handle(s.path, true) // not the writer's, so that appends go on
		if err != nil {
			return err
		}
		defer db.Close()
		if _, err := db.ExecContext(ctx, "VACUUM INTO ?", beside); err != nil {
			return err
		}
		return soundCopy(ctx, beside)
	})
	return s.explain("backing up", err)
}

func soundCopy(ctx context.Context, path string) error {
	db, err := handle(path, false, "query_only(1)")
	if err != nil {
		return err
	}
	defer db.Close()
	var said string
	if err := db.QueryRowContext(ctx, "PRAGMA integrity_check(1)").Scan(&said); err != nil {
		return err
	}
	if said != "ok" {
		return errors.New("the copy is damaged: " + said)
	}
	return recognise(db)
}

func micro(us int64) time.Time { return time.UnixMicro(us).UTC() }
