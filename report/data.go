package report

import (
	"bytes"
	"encoding"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"reflect"
	"strings"
	"time"

	"fairburn/finding"
	"fairburn/plan"
	"fairburn/reduce"
	"fairburn/repeat"
	"fairburn/trial"
	"fairburn/verdict"
)

// JSON writes the verdict and every burn for other programs, indented. A number
// that does not exist or has no end (a boil that never came) is null, so that
// the text is JSON whatever the figures are.
func JSON(w io.Writer, v *verdict.Verdict, r *trial.Reduced) error {
	return RepeatJSON(w, v, r, nil)
}

// RepeatJSON writes what JSON does, and what other testers' burns say of it
// unless c is nil.
func RepeatJSON(w io.Writer, v *verdict.Verdict, r *trial.Reduced, c *repeat.Comparison) error {
	burns := []*reduce.Result{}
	for i := range r.Results {
		burns = append(burns, &r.Results[i].Result)
	}
	err := writeJSON(w, struct {
		Verdict *verdict.Verdict   `json:"verdict"`
		Burns   []*reduce.Result   `json:"burns"`
		Testers *repeat.Comparison `json:"testers,omitempty"`
	}{v, burns, c})
	if err != nil {
		return fmt.Errorf("writing %q as JSON: %w", v.Title, err)
	}
	return nil
}

// PlanJSON writes a proposal and what was found for other programs, indented.
// Times are in seconds, other quantities in SI.
func PlanJSON(w io.Writer, p *plan.Proposal, found []finding.Finding) error {
	err := writeJSON(w, struct {
		Proposal *plan.Proposal    `json:"proposal"`
		Findings []finding.Finding `json:"findings"`
	}{p, found})
	if err != nil {
		return fmt.Errorf("writing the plan as JSON: %w", err)
	}
	return nil
}

func writeJSON(w io.Writer, document any) error {
	var plain, indented bytes.Buffer
	if err := encode(&plain, reflect.ValueOf(document)); err != nil {
		return err
	}
	if err := json.Indent(&indented, plain.Bytes(), "", "  "); err != nil {
		return err
	}
	indented.WriteByte('\n')
	_, err := indented.WriteTo(w)
	return err
}

// encode writes a value as encoding/json does by its tags, but for numbers that
// are not finite, which that package refuses, and for times, which it counts in
// nanoseconds and which are seconds here.
func encode(b *bytes.Buffer, v reflect.Value) error {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() {
			b.WriteString("null")
			return nil
		}
	case reflect.Float64:
		if math.IsNaN(v.Float()) || math.IsInf(v.Float(), 0) {
			b.WriteString("null")
			return nil
		}
	}
	switch x := v.Interface().(type) {
	case json.Marshaler, encoding.TextMarshaler:
		return encodeSelf(b, v)
	case time.Duration:
		return encodeSelf(b, reflect.ValueOf(x.Seconds()))
	}
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		return encode(b, v.Elem())
	case reflect.Struct:
		return encodeStruct(b, v)
	case reflect.Slice:
		return encodeSlice(b, v)
	}
	return encodeSelf(b, v)
}

func encodeSelf(b *bytes.Buffer, v reflect.Value) error {
	text, err := json.Marshal(v.Interface())
	b.Write(text)
	return err
}

func encodeSlice(b *bytes.Buffer, v reflect.Value) error {
	b.WriteByte('[')
	for i := range v.Len() {
		if i > 0 {
			b.WriteByte(',')
		}
		if err := encode(b, v.Index(i)); err != nil {
			return err
		}
	}
	b.WriteByte(']')
	return nil
}

func encodeStruct(b *bytes.Buffer, v reflect.Value) error {
	b.WriteByte('{')
	first := true
	for i := range v.NumField() {
		field := v.Type().Field(i)
		name, options, _ := strings.Cut(field.Tag.Get("json"), ",")
		omitted := strings.Contains(options, "omit") && empty(v.Field(i))
		if !field.IsExported() || name == "-" || omitted {
			continue
		}
		if name == "" {
			name = field.Name
		}
		if !first {
			b.WriteByte(',')
		}
		first = false
		fmt.Fprintf(b, "%q:", name)
		if err := encode(b, v.Field(i)); err != nil {
			return err
		}
	}
	b.WriteByte('}')
	return nil
}

func empty(v reflect.Value) bool {
	return v.IsZero() || v.Kind() == reflect.Slice && v.Len() == 0
}
