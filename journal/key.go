package journal

import (
	"bytes"
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
)

// signed goes before the id under every signature, so that a signature made for
// a record can never pass for one made for anything else.
const signed = "fairburn record 1\n"

// keyLine begins the text of a key.
const keyLine = "fairburn-key-1 "

// Key signs the records of one bench. Whoever has its text can write in its name.
type Key struct{ private ed25519.PrivateKey }

// NewKey draws a key from 32 bytes of random, which outside tests is crypto/rand.Reader.
func NewKey(random io.Reader) (Key, error) {
	seed := make([]byte, ed25519.SeedSize)
	if _, err := io.ReadFull(random, seed); err != nil {
		return Key{}, fmt.Errorf("drawing a key: %w", err)
	}
	return Key{ed25519.NewKeyFromSeed(seed)}, nil
}

// MarshalText writes the secret: one line to keep in a file that nobody else reads.
func (k Key) MarshalText() ([]byte, error) {
	if k.private == nil {
		return nil, errors.New("writing a key: there is none")
	}
	return []byte(keyLine + base64.StdEncoding.EncodeToString(k.private.Seed()) + "\n"), nil
}

// UnmarshalText reads what MarshalText wrote. Errors never repeat the text.
func (k *Key) UnmarshalText(text []byte) error {
	code, ok := bytes.CutPrefix(bytes.TrimRight(text, "\r\n"), []byte(keyLine))
	if !ok {
		return fmt.Errorf("reading a key: expected one line that begins with %q", keyLine)
	}
	seed, err := base64.StdEncoding.Strict().AppendDecode(nil, code)
	if err != nil || len(seed) != ed25519.SeedSize {
		return fmt.Errorf("reading a key: expected %d bytes in base64 after %q", ed25519.SeedSize, keyLine)
	}
	k.private = ed25519.NewKeyFromSeed(seed)
	return nil
}

// String names the author; it never shows the secret.
func (k Key) String() string {
	if k.private == nil {
		return "no key"
	}
	return "key of author " + k.Author().String()
}

// Author returns the fingerprint of the public key.
func (k Key) Author() Author { return fingerprint(k.public()) }

func (k Key) public() ed25519.PublicKey { return ed25519.PublicKey(k.private[ed25519.SeedSize:]) }

func fingerprint(public ed25519.PublicKey) Author { return sha256.Sum256(public) }

// Seal makes k the author of r, forms its bytes, and signs them: the only way a
// record comes into being. It fails, naming the field, when r breaks a limit.
func (k Key) Seal(r Record) (Stored, error) {
	if k.private == nil {
		return Stored{}, errors.New("sealing a record: there is no key")
	}
	r.Author = k.Author()
	b, err := r.bytes()
	if err != nil {
		return Stored{}, fmt.Errorf("sealing a record: %w", err)
	}
	id := ID(sha256.Sum256(b))
	return Stored{ID: id, Bytes: b, Signer: k.public(), Signature: ed25519.Sign(k.private, message(id))}, nil
}

// message is what a signature covers: the id, which covers the bytes.
func message(id ID) []byte { return append([]byte(signed), id[:]...) }

// Stored is a record as it is kept and passed on.
type Stored struct {
	ID        ID
	Bytes     []byte            // the record; never formed again
	Signer    ed25519.PublicKey // whose fingerprint is the author
	Signature []byte
}

// Split returns the bytes in two parts, the second beginning with the body: a
// store keeps them apart, so that heads are read without the traces.
func (s Stored) Split() (head, body []byte) {
	n := bytes.Index(s.Bytes, []byte(bodyKey))
	if n < 0 {
		return s.Bytes, nil
	}
	n += len(bodyKey)
	return s.Bytes[:n:n], s.Bytes[n:]
}

// Damage is what Stored.Check found: a code as in findings, and the sentence.
type Damage struct{ Code, Sentence string }

// Error returns the sentence.
func (d *Damage) Error() string { return d.Sentence }

// damage returns the code and sentence of an error of Check.
func damage(err error) (code, sentence string) {
	if d, ok := errors.AsType[*Damage](err); ok {
		return d.Code, d.Sentence
	}
	return "record_malformed", err.Error()
}

// Check reads the record and holds it to its id, its author and its signature.
// Every error is a *Damage: record_altered (the bytes do not hash to the id),
// record_malformed, signer_differs (the key is not the author's) or
// signature_wrong.
func (s Stored) Check() (Record, error) {
	if got := ID(sha256.Sum256(s.Bytes)); got != s.ID {
		return Record{}, &Damage{"record_altered", fmt.Sprintf("the bytes hash to %v, expected %v", got, s.ID)}
	}
	r, err := parse(s.Bytes)
	if err != nil {
		return Record{}, &Damage{"record_malformed", err.Error()}
	}
	if len(s.Signer) != ed25519.PublicKeySize || fingerprint(s.Signer) != r.Author {
		return Record{}, &Damage{"signer_differs", fmt.Sprintf("signed by %v, expected the author %v", fingerprint(s.Signer), r.Author)}
	}
	if !ed25519.Verify(s.Signer, message(s.ID), s.Signature) {
		return Record{}, &Damage{"signature_wrong", "the signature does not fit the record"}
	}
	return r, nil
}
