package journal

import (
	"bufio"
	"bytes"
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"iter"
)

// An exchange file is text: a line that tells its version, then one record a
// line in the one form below, its bytes verbatim. Ids are not written, for they
// follow from the bytes. Every line is JSON for whoever reads it with other tools.
const (
	exchangeHead  = `{"fairburn_exchange":1}`
	exchangeBegin = `{"fairburn_exchange":`
	signerKey     = `{"signer":"`
	signatureKey  = `","signature":"`
	recordKey     = `","record":`
)

// MaxLines is how many records ReadExchange takes from one file.
const MaxLines = 5_000_000

// maxLine is the longest line: a record and what stands around it.
const maxLine = MaxBytes + 512

// WriteExchange writes entries as an exchange file and returns how many.
func WriteExchange(w io.Writer, entries iter.Seq2[Entry, error]) (int, error) {
	out := bufio.NewWriter(w)
	fmt.Fprintln(out, exchangeHead)
	n := 0
	for e, err := range entries {
		if err == nil {
			_, err = out.Write(exchangeLine(e.Stored))
		}
		if err != nil {
			return n, fmt.Errorf("writing record %d: %w", n+1, err)
		}
		n++
	}
	if err := out.Flush(); err != nil {
		return n, fmt.Errorf("writing records: %w", err)
	}
	return n, nil
}

func exchangeLine(s Stored) []byte {
	b := append([]byte(nil), signerKey...)
	b = base64.StdEncoding.AppendEncode(b, s.Signer)
	b = append(b, signatureKey...)
	b = base64.StdEncoding.AppendEncode(b, s.Signature)
	b = append(append(b, recordKey...), s.Bytes...)
	return append(b, '}', '\n')
}

// Line is one line of an exchange file.
type Line struct {
	Number int // from 1, the first record standing on line 2
	Stored Stored
	Fault  error // why the line cannot be read; the others still can
}

// ReadExchange yields the records of an exchange file as it reads it, unchecked:
// Merge checks. An error ends it: the file is of another kind or a newer
// version, has more than MaxLines records, or cannot be read.
func ReadExchange(r io.Reader) iter.Seq2[Line, error] { return readExchange(r, MaxLines) }

func readExchange(r io.Reader, most int) iter.Seq2[Line, error] {
	return func(yield func(Line, error) bool) {
		in := bufio.NewReaderSize(r, 64<<10)
		if err := readExchangeHead(in); err != nil {
			yield(Line{Number: 1}, err)
			return
		}
		for number := 2; ; number++ {
			text, fault, err := readLine(in)
			if err == nil && number > most+1 {
				err = fmt.Errorf("line %d: expected at most %d records in one file", number, most)
			}
			if err == io.EOF {
				return
			}
			if err != nil {
				yield(Line{Number: number}, err)
				return
			}
			line := Line{Number: number, Fault: fault}
			if fault == nil {
				line.Stored, line.Fault = parseLine(text)
			}
			if !yield(line, nil) {
				return
			}
		}
	}
}

func readExchangeHead(in *bufio.Reader) error {
	text, fault, err := readLine(in)
	if err != nil && err != io.EOF {
		return err
	}
	if fault != nil || !bytes.HasPrefix(text, []byte(exchangeBegin)) {
		return fmt.Errorf("line 1: expected %s, found %.40q; this is no file of fairburn records", exchangeHead, text)
	}
	if string(text) != exchangeHead {
		return fmt.Errorf("line 1: expected %s, found %.40q; a newer fairburn may have written it", exchangeHead, text)
	}
	return nil
}

// readLine reads up to a line feed and drops it, with a carriage return before
// it. A line over the limit is skipped without being held, and told as a fault.
func readLine(in *bufio.Reader) (text []byte, fault, err error) {
	length := 0
	for {
		part, err := in.ReadSlice('\n')
		length += len(part)
		if length > maxLine {
			text, fault = nil, fmt.Errorf("line longer than %d bytes", maxLine)
		} else {
			text = append(text, part...)
		}
		if errors.Is(err, bufio.ErrBufferFull) {
			continue
		}
		if err != nil && (err != io.EOF || length == 0) {
			return nil, nil, err
		}
		return bytes.TrimSuffix(bytes.TrimSuffix(text, []byte("\n")), []byte("\r")), fault, nil
	}
}

// parseLine takes a line apart at fixed places: keys and signatures have one length.
func parseLine(text []byte) (Stored, error) {
	signer, text, err := cutCode(text, signerKey, ed25519.PublicKeySize)
	if err != nil {
		return Stored{}, err
	}
	signature, text, err := cutCode(text, signatureKey, ed25519.SignatureSize)
	if err != nil {
		return Stored{}, err
	}
	record, ok := bytes.CutPrefix(text, []byte(recordKey))
	if !ok || len(record) == 0 || record[len(record)-1] != '}' {
		return Stored{}, fmt.Errorf("expected %s and a record up to a closing }, found %.40q", recordKey, text)
	}
	record = record[: len(record)-1 : len(record)-1]
	return Stored{ID: sha256.Sum256(record), Bytes: record, Signer: signer, Signature: signature}, nil
}

// cutCode reads size bytes in base64 after a key.
func cutCode(text []byte, key string, size int) (code, rest []byte, err error) {
	n := base64.StdEncoding.EncodedLen(size)
	rest, ok := bytes.CutPrefix(text, []byte(key))
	if ok && len(rest) >= n {
		code, err = base64.StdEncoding.Strict().AppendDecode(nil, rest[:n])
		if err == nil && len(code) == size {
			return code, rest[n:], nil
		}
	}
	return nil, nil, fmt.Errorf("expected %s and %d bytes in base64, found %.40q", key, size, text)
}
