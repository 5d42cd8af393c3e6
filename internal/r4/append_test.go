package r4

import (
	"encoding/json"
	"fmt"
	"reflect"
	"testing"

	"github.com/samply/golang-fhir-models/fhir-models/fhir"
)

// filled sets one member of a struct, which then has content of every kind.
func filled(v reflect.Value, depth int) {
	switch v.Kind() {
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		filled(v.Elem(), depth)
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		filled(v.Index(0), depth)
		filled(v.Index(1), depth)
	case reflect.String:
		v.SetString("a <b> & \"c\" \\ ü \u2028 1")
		if v.Type() == reflect.TypeFor[json.Number]() {
			v.SetString("-0.610")
		}
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int:
		v.SetInt(1)
	case reflect.Struct:
		if depth > 0 {
			for i := range v.NumField() {
				filled(v.Field(i), depth-1)
			}
		}
	}
}

// Of every member, filled alone, and of all together, the appender gives the bytes
// of encoding/json: none is lost, and none written in another form.
func TestAppendedBytesAreThoseOfEncodingJSON(t *testing.T) {
	check := func(o *Observation, what string) {
		t.Helper()
		plain, err := methodless(o)
		if err != nil {
			t.Fatal(err)
		}
		var long, short appender
		long.long(plain)
		if !short.observation(o) {
			if !o.rare() {
				t.Errorf("%s: it is not written", what)
			}
			return
		}
		if string(short.b) != string(long.b) || fmt.Sprint(long.err) != fmt.Sprint(short.err) {
			t.Errorf("%s: %v, %v\n%s\n%s", what, long.err, short.err, short.b, long.b)
		}
	}
	const deep = 3
	all := &Observation{}
	for _, f := range reflect.VisibleFields(reflect.TypeFor[Observation]()) {
		inner := len(f.Index) == 2
		if f.Anonymous || inner && (f.Name == "Extension" || f.Name == "Component") {
			continue
		}
		for depth := range deep + 1 {
			alone := &Observation{}
			filled(reflect.ValueOf(alone).Elem().FieldByIndex(f.Index), depth)
			check(alone, f.Name)
			if !alone.rare() {
				filled(reflect.ValueOf(all).Elem().FieldByIndex(f.Index), depth)
			}
		}
	}
	check(all, "all")
	check(&Observation{}, "none")
	for _, types := range []any{
		fhir.Coding{}, fhir.CodeableConcept{}, fhir.Quantity{}, fhir.Identifier{}, fhir.Reference{}, fhir.Period{}, fhir.Narrative{}, fhir.Meta{},
		fhir.SampledData{}, fhir.Annotation{}, fhir.Attachment{}, fhir.DeviceDeviceName{}, fhir.DeviceVersion{}, fhir.ProcedurePerformer{},
		fhir.ProvenanceAgent{}, fhir.ProvenanceEntity{},
	} {
		eachMember(t, types)
	}
}

// eachMember fills every member of a data type in turn.
func eachMember(t *testing.T, of any) {
	t.Helper()
	for i := range reflect.TypeOf(of).NumField() {
		v := reflect.New(reflect.TypeOf(of))
		filled(v.Elem().Field(i), 1)
		var long, short appender
		long.long(v.Interface())
		switch v := v.Interface().(type) {
		case *fhir.Coding:
			short.coding(v)
		case *fhir.CodeableConcept:
			short.concept(v)
		case *fhir.Quantity:
			short.quantity(v)
		case *fhir.Identifier:
			short.identifier(v)
		case *fhir.Reference:
			short.reference(v)
		case *fhir.Period:
			short.period(v)
		case *fhir.Narrative:
			short.narrative(v)
		case *fhir.Meta:
			short.meta(v)
		case *fhir.SampledData:
			short.samples(v)
		case *fhir.Annotation:
			short.annotation(v)
		case *fhir.Attachment:
			short.attachment(v)
		case *fhir.DeviceDeviceName:
			short.deviceName(v)
		case *fhir.DeviceVersion:
			short.deviceVersion(v)
		case *fhir.ProcedurePerformer:
			short.performer(v)
		case *fhir.ProvenanceAgent:
			short.agent(v)
		case *fhir.ProvenanceEntity:
			short.entity(v)
		}
		if string(short.b) != string(long.b) || fmt.Sprint(long.err) != fmt.Sprint(short.err) {
			t.Errorf("%T: %v, %v\n%s\n%s", of, long.err, short.err, short.b, long.b)
		}
	}
}

// The same of resources: of each member alone, of none, and of all that are written.
func TestAppendedResourcesAreThoseOfEncodingJSON(t *testing.T) {
	for _, of := range []any{fhir.Device{}, fhir.Procedure{}, fhir.DiagnosticReport{}, fhir.Provenance{}} {
		kind, written := reflect.TypeOf(of), 0
		check := func(v reflect.Value) bool {
			t.Helper()
			plain, err := methodless(v.Interface())
			if err != nil {
				t.Fatal(err)
			}
			var long, short appender
			long.long(plain)
			if !short.shortly(v.Interface()) {
				return false
			}
			if string(short.b) != string(long.b) || fmt.Sprint(long.err) != fmt.Sprint(short.err) {
				t.Errorf("%s: %v, %v\n%s\n%s", kind, long.err, short.err, short.b, long.b)
			}
			return true
		}
		all, none := reflect.New(kind).Elem(), reflect.New(kind).Elem()
		check(none)
		for i := range kind.NumField() {
			for depth := range 4 {
				alone := reflect.New(kind).Elem()
				if kind == reflect.TypeFor[fhir.Provenance]() { // which it must have
					filled(alone.FieldByName("Target"), 1)
					filled(alone.FieldByName("Agent"), 1)
				}
				filled(alone.Field(i), depth)
				if check(alone) {
					filled(all.Field(i), depth)
					written++
				}
			}
		}
		if !check(all) || written < 30 {
			t.Errorf("%s: %d members are written", kind, written)
		}
	}
}

func TestAppendedNumbersAreChecked(t *testing.T) {
	for _, text := range []json.Number{"", "x", "1e", "01", "+1", " 1"} {
		var a appender
		a.open()
		if a.number("value", &text); a.err == nil && text != "" {
			t.Errorf("%q was written: %s", text, a.b)
		}
	}
}
