package journal

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"math/rand/v2"
	"os"
	"reflect"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// testKey returns the same key for the same number.
func testKey(t testing.TB, n byte) Key {
	t.Helper()
	k, err := NewKey(rand.NewChaCha8([32]byte{n}))
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func plain() Record {
	return Record{Kind: "note", Version: 1, Subject: "burn 7", Name: "Rowan", Nonce: strings.Repeat("0f", 16),
		At: time.Date(2026, 5, 1, 9, 30, 0, 500_000_000, time.FixedZone("", 2*3600)), Body: []byte(`{"a": 1.50}`)}
}

func seal(t testing.TB, k Key, r Record) Stored {
	t.Helper()
	s, err := k.Seal(r)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestRecordHasThisFormAndNoOther(t *testing.T) {
	k := testKey(t, 1)
	r := plain()
	r.Subject, r.Replaces = `the "tall" \ one`, []ID{{2}, {1}, {2}}
	s := seal(t, k, r)
	want := `{"fairburn":1,"kind":"note","version":1,"subject":"the \"tall\" \\ one","replaces":["` +
		ID{1}.String() + `","` + ID{2}.String() + `"],"author":"` + k.Author().String() +
		`","name":"Rowan","at":"2026-05-01T09:30:00.5+02:00","nonce":"0f0f0f0f0f0f0f0f0f0f0f0f0f0f0f0f","body":{"a": 1.50}}`
	if string(s.Bytes) != want {
		t.Errorf("bytes\n%s\nexpected\n%s", s.Bytes, want)
	}
	if s.ID != sha256.Sum256([]byte(want)) {
		t.Errorf("id %v is not the hash of the bytes", s.ID)
	}
	head, body := s.Split()
	if string(body) != `{"a": 1.50}}` || string(head)+string(body) != want {
		t.Errorf("split in %q and %q", head, body)
	}
}

// Whatever is sealed comes back field for field, and a general JSON reader sees
// the same.
func TestSealedRecordsReadBack(t *testing.T) {
	k := testKey(t, 1)
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.String().Filter(isText)
		r := plain()
		r.Subject, r.Name = text.Draw(t, "subject"), text.Draw(t, "name")
		r.Kind = rapid.StringMatching(`[a-z][a-z0-9_]{0,63}`).Draw(t, "kind")
		r.Version = rapid.IntRange(1, 9999).Draw(t, "version")
		r.At = time.Unix(rapid.Int64Range(-60e9, 250e9).Draw(t, "s"), rapid.Int64Range(0, 999_999_999).Draw(t, "ns")).
			In(time.FixedZone("", 60*rapid.IntRange(-14*60, 14*60).Draw(t, "offset")))
		body, err := json.Marshal(rapid.MapOf(rapid.String(), rapid.Float64Range(-1e9, 1e9)).Draw(t, "body"))
		if err != nil {
			t.Fatal(err)
		}
		r.Body = body
		for range rapid.IntRange(0, 3).Draw(t, "replaces") {
			r.Replaces = append(r.Replaces, sha256.Sum256([]byte(rapid.String().Draw(t, "id"))))
		}
		s, err := k.Seal(r)
		if err != nil {
			t.Fatal(err)
		}
		got, err := s.Check()
		if err != nil {
			t.Fatal(err)
		}
		if got.Kind != r.Kind || got.Version != r.Version || got.Subject != r.Subject || got.Name != r.Name ||
			!got.At.Equal(r.At) || got.Nonce != r.Nonce || string(got.Body) != string(r.Body) || got.Author != k.Author() {
			t.Fatalf("read back %+v, expected %+v", got, r)
		}
		var other struct{ Subject, Name string }
		if err := json.Unmarshal(s.Bytes, &other); err != nil || other.Subject != r.Subject || other.Name != r.Name {
			t.Fatalf("a JSON reader sees %+v, %v", other, err)
		}
	})
}

func TestSealRefusesWhatBreaksALimit(t *testing.T) {
	k := testKey(t, 1)
	long := func(n int) string { return strings.Repeat("a", n) }
	blob := func(n int) json.RawMessage { return json.RawMessage(`"` + long(n-2) + `"`) }
	room := MaxBytes - len(seal(t, k, plain()).Bytes) + len(plain().Body)
	for _, test := range []struct {
		name, want string
		change     func(*Record)
	}{
		{"kind of 64", "", func(r *Record) { r.Kind = long(64) }},
		{"kind of 65", "kind \"" + long(65) + "\": expected 1 to 64 of a-z, 0-9 and _, beginning with a letter", func(r *Record) { r.Kind = long(65) }},
		{"kind in capitals", `kind "Note": expected 1 to 64`, func(r *Record) { r.Kind = "Note" }},
		{"kind begins with a digit", `kind "1a": expected`, func(r *Record) { r.Kind = "1a" }},
		{"no kind", `kind "": expected`, func(r *Record) { r.Kind = "" }},
		{"version 0", "version 0: expected 1 to 9999", func(r *Record) { r.Version = 0 }},
		{"version 9999", "", func(r *Record) { r.Version = 9999 }},
		{"version 10000", "version 10000: expected 1 to 9999", func(r *Record) { r.Version = 10000 }},
		{"subject of 200", "", func(r *Record) { r.Subject = long(200) }},
		{"subject of 201", "expected 1 to 200 bytes of text on one line", func(r *Record) { r.Subject = long(201) }},
		{"no subject", `subject "": expected`, func(r *Record) { r.Subject = "" }},
		{"name with a line break", `name "a\nb": expected 1 to 200 bytes`, func(r *Record) { r.Name = "a\nb" }},
		{"name not UTF-8", `name "\xff": expected`, func(r *Record) { r.Name = "\xff" }},
		{"replaces 256", "", func(r *Record) { r.Replaces = manyIDs(256) }},
		{"replaces 257", "replaces 257 records: expected at most 256", func(r *Record) { r.Replaces = manyIDs(257) }},
		{"year 0", "expected the years 1 to 9999", func(r *Record) { r.At = time.Date(0, 1, 1, 0, 0, 0, 0, time.UTC) }},
		{"year 10000", "expected the years 1 to 9999", func(r *Record) { r.At = time.Date(10000, 1, 1, 0, 0, 0, 0, time.UTC) }},
		{"offset of 90 s", "an offset of whole minutes", func(r *Record) { r.At = r.At.In(time.FixedZone("", 90)) }},
		{"nonce of 31", "expected 32 hex digits 0-9 a-f", func(r *Record) { r.Nonce = long(31) }},
		{"nonce in capitals", "expected 32 hex digits 0-9 a-f", func(r *Record) { r.Nonce = strings.Repeat("AB", 16) }},
		{"no body", "body: expected JSON, found nothing", func(r *Record) { r.Body = nil }},
		{"body on two lines", "body: expected JSON on one line, found a line break", func(r *Record) { r.Body = []byte("{\n}") }},
		{"body cut off", "body: expected JSON, found \"{\\\"a\\\":\"", func(r *Record) { r.Body = []byte(`{"a":`) }},
		{"two bodies", "body: expected JSON", func(r *Record) { r.Body = []byte(`{}{}`) }},
		{"body not UTF-8", "body: expected UTF-8", func(r *Record) { r.Body = []byte("\"\xff\"") }},
		{"largest", "", func(r *Record) { r.Body = blob(room) }},
		{"too large", "record of 16777217 bytes: expected at most 16777216; split the data over several records", func(r *Record) { r.Body = blob(room + 1) }},
	} {
		t.Run(test.name, func(t *testing.T) {
			r := plain()
			test.change(&r)
			s, err := k.Seal(r)
			if test.want != "" {
				if err == nil || !strings.Contains(err.Error(), test.want) {
					t.Errorf("got %v, expected %q", err, test.want)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if _, err := s.Check(); err != nil {
				t.Error(err)
			}
		})
	}
}

func manyIDs(n int) []ID {
	ids := make([]ID, n)
	for i := range ids {
		ids[i] = ID{byte(i), byte(i >> 8)}
	}
	return ids
}

// The same JSON in another spelling would be another id for the same fact.
func TestParseRefusesOtherSpellings(t *testing.T) {
	r := plain()
	r.Replaces = []ID{{1}, {2}}
	good := string(seal(t, testKey(t, 1), r).Bytes)
	for _, test := range []struct{ old, new, want string }{
		{`{"fairburn":1`, `{"fairburn":2`, "record of form 2: this program reads form 1; a newer one may have written it"},
		{`{"fairburn":1`, `{"fairburn": 1`, `byte 13: expected a whole number from 1, found " 1,\"kind\"`},
		{`{"fairburn":1`, `{"fairburn":01`, "expected a whole number from 1"},
		{`"version":1`, `"version":1.0`, `expected ,"subject":`},
		{`"burn 7"`, `"burn\u00207"`, `expected a text with no escapes but \" and \\`},
		{`"burn 7"`, "\"burn\t7\"", `subject "burn\t7": expected 1 to 200 bytes`},
		{`"burn 7",`, `"burn 7","subject":"x",`, `expected ,"replaces":[`},
		{ID{1}.String(), ID{3}.String(), "replaces: expected ids in ascending order, each once"},
		{ID{1}.String(), ID{2}.String(), "replaces: expected ids in ascending order, each once"},
		{ID{1}.String(), strings.ToUpper(testKey(t, 1).Author().String()), "expected 64 hex digits in quotation marks"},
		{".5+02:00", ".50+02:00", "expected a time such as 2026-05-01T09:30:00.5+02:00"},
		{".5+02:00", ",5+02:00", "expected a time such as"},
		{`"body":`, `"body" :`, `expected ,"body":`},
		{`1.50}}`, `1.50}} `, "record of "},
		{`1.50}}`, `1.50}`, "body: expected JSON"},
	} {
		if !strings.Contains(good, test.old) {
			t.Fatalf("%q is not in %s", test.old, good)
		}
		_, err := parse([]byte(strings.Replace(good, test.old, test.new, 1)))
		if err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s: got %v, expected %q", test.new, err, test.want)
		}
	}
	for n := range len(good) {
		if _, err := parse([]byte(good[:n])); err == nil {
			t.Errorf("accepted the first %d bytes", n)
		}
	}
}

func FuzzParse(f *testing.F) {
	f.Add(seal(f, testKey(f, 1), plain()).Bytes)
	f.Add([]byte(`{"fairburn":1,"kind":"a","version":1,"subject":"`))
	f.Fuzz(func(t *testing.T, b []byte) {
		r, err := parse(b)
		if err != nil {
			return
		}
		again, err := r.bytes()
		if err != nil || string(again) != string(b) {
			t.Errorf("%q reads as what is written %q (%v)", b, again, err)
		}
	})
}

func TestCheckNamesTheDamage(t *testing.T) {
	k, other := testKey(t, 1), testKey(t, 2)
	whole := seal(t, k, plain())
	for _, test := range []struct {
		code   string
		change func(*Stored)
	}{
		{"record_altered", func(s *Stored) { s.Bytes = []byte(strings.Replace(string(s.Bytes), "1.50", "1.60", 1)) }},
		{"record_altered", func(s *Stored) { s.ID[0]++ }},
		{"record_malformed", func(s *Stored) { s.Bytes = []byte("{}"); s.ID = sha256.Sum256(s.Bytes) }},
		{"signer_differs", func(s *Stored) { s.Signer = other.public() }},
		{"signer_differs", func(s *Stored) { s.Signer = nil }},
		{"signature_wrong", func(s *Stored) { s.Signature = append([]byte{s.Signature[0] ^ 1}, s.Signature[1:]...) }},
		{"signature_wrong", func(s *Stored) { s.Signature = nil }},
		{"signature_wrong", func(s *Stored) { r := plain(); r.Name = "Ash"; s.Signature = seal(t, k, r).Signature }},
	} {
		s := whole
		test.change(&s)
		_, err := s.Check()
		if code, _ := damage(err); err == nil || code != test.code {
			t.Errorf("got %v, expected %s", err, test.code)
		}
	}
}

// RFC 8032, section 7.1, TEST 1 (from memory): seed and public key.
func TestKeyTextHoldsTheSeedOfThePublishedExample(t *testing.T) {
	seed, err := hex.DecodeString("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60")
	if err != nil {
		t.Fatal(err)
	}
	var k Key
	if err := k.UnmarshalText([]byte("fairburn-key-1 " + base64.StdEncoding.EncodeToString(seed) + "\n")); err != nil {
		t.Fatal(err)
	}
	if got, want := hex.EncodeToString(k.public()), "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a"; got != want {
		t.Errorf("public key %s, expected %s", got, want)
	}
}

func TestKeyReadsBackAndKeepsItsSecret(t *testing.T) {
	k := testKey(t, 3)
	text, err := k.MarshalText()
	if err != nil {
		t.Fatal(err)
	}
	var back Key
	if err := back.UnmarshalText(text); err != nil || !reflect.DeepEqual(back, k) {
		t.Errorf("read back %v, %v", back, err)
	}
	if got, want := k.String(), "key of author "+k.Author().String(); got != want {
		t.Errorf("printed as %q, expected %q", got, want)
	}
	secret := strings.TrimSpace(string(text[len(keyLine):]))
	for _, bad := range []string{"", secret, "fairburn-key-2 " + secret, keyLine + secret[:40], keyLine + secret + "=", keyLine + " " + secret} {
		err := new(Key).UnmarshalText([]byte(bad))
		if err == nil || strings.Contains(err.Error(), secret[:8]) {
			t.Errorf("%d bytes: got %v, expected a refusal without the secret", len(bad), err)
		}
	}
	var none Key
	if _, err := none.MarshalText(); err == nil {
		t.Error("wrote a key that is not there")
	}
	if _, err := none.Seal(plain()); err == nil || none.String() != "no key" {
		t.Errorf("sealed without a key: %v", err)
	}
	if _, err := NewKey(strings.NewReader("short")); err == nil {
		t.Error("drew a key from five bytes")
	}
	if _, err := NewNonce(strings.NewReader("short")); err == nil {
		t.Error("drew a nonce from five bytes")
	}
}

func TestHashesReadOnlyTheirOwnText(t *testing.T) {
	id := ID(sha256.Sum256([]byte("x")))
	text, _ := id.MarshalText()
	var back ID
	var author Author
	if err := back.UnmarshalText(text); err != nil || back != id {
		t.Errorf("read back %v, %v", back, err)
	}
	if err := author.UnmarshalText(text); err != nil || author != Author(id) {
		t.Errorf("read back %v, %v", author, err)
	}
	if text, err := author.MarshalText(); err != nil || string(text) != id.String() {
		t.Errorf("wrote %s, %v", text, err)
	}
	for _, bad := range []string{"", "ab", strings.ToUpper(string(text)), string(text) + "0", string(text[:63]) + "g"} {
		if err := back.UnmarshalText([]byte(bad)); err == nil || !strings.Contains(err.Error(), "expected 64 hex digits 0-9 a-f") {
			t.Errorf("%q: %v", bad, err)
		}
	}
}

// The records of form 1 in testdata were written once and must be readable for ever.
func TestOldRecordsStayReadable(t *testing.T) {
	f, err := os.Open("testdata/records-1.txt")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var got []string
	fold := NewFold(noteKinds)
	for line, err := range ReadExchange(f) {
		if err != nil || line.Fault != nil {
			t.Fatal(line.Number, err, line.Fault)
		}
		if _, err := line.Stored.Check(); err != nil {
			t.Error(err)
		}
		if err := fold.Add(Entry{Stored: line.Stored}); err != nil {
			t.Error(err)
		}
		got = append(got, line.Stored.ID.String())
	}
	ids, err := os.ReadFile("testdata/records-1.ids")
	if err != nil {
		t.Fatal(err)
	}
	if want := strings.Fields(string(ids)); !reflect.DeepEqual(got, want) {
		t.Errorf("ids %v, expected %v", got, want)
	}
	s := fold.State("note", `burner "Tall" \ 1`)
	if len(s.Live) != 1 || s.Live[0].Value != "dented" || len(s.Proposals) != 1 || s.Proposals[0].Fact.Record.Name != "Ash 🔥 (invented)" {
		t.Errorf("state %+v", s)
	}
}
