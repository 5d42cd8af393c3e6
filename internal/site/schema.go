package site

import (
	"encoding/json"
	"strings"

	"saltmark/internal/sheet"
	"saltmark/mapping/measure"
)

//go:generate go test -run TestThePublishedSchemaIsCurrent -update .

type object = map[string]any

// Parts of the schema that stand in several places.
var (
	text    = object{"type": []string{"string", "number"}, "minLength": 1, "maxLength": 200}
	written = object{"type": "string", "minLength": 1, "maxLength": 80}
	yesNo   = object{"type": "string", "enum": []string{"yes", "no"}}
	address = object{"type": "string", "pattern": `^[a-z][a-z0-9+.-]*:[!-~]*[!-.0-~]$`, "description": "an absolute address without a slash at the end is wanted"}
)

// Schema gives the JSON Schema (draft-07) of the settings, made of the table of
// measures.
func Schema() []byte {
	properties := object{
		"saltmark-site":            object{"type": "integer", "enum": []int{Version}},
		"name":                     text,
		"test-data":                yesNo,
		"base":                     address,
		"systems":                  closed(object{"session": address, "device": address, "person": address, "patient": address, "encounter": address, "order": address}),
		"write":                    closed(object{"injections": object{"type": "string", "enum": []string{"separate", "none"}}, "comparators": yesNo, "snomed": yesNo}),
		"language":                 object{"type": "string", "enum": measure.Languages()},
		"verifier-may-be-operator": yesNo,
		"monitors":                 named(object{"model": text, "serial": text}, "monitors"),
		"loops":                    named(object{"model": text}, "loops"),
		"codings":                  codingsSchema(),
		"plausible":                object{"type": "array", "items": plausibleSchema()},
	}
	for i := range measure.All() {
		m := &measure.All()[i]
		if section, name, ok := strings.Cut(m.Setting, "."); ok && !strings.Contains(m.Setting, "{}") {
			into(properties, section)[name] = supplySchema()
		}
	}
	limits := object{}
	for _, m := range loadMeasures() {
		limits[m.Key] = limitSchema()
	}
	into(properties, "load")["limits"] = closed(limits)
	root := closed(properties, "saltmark-site", "name", "systems")
	root["$schema"] = "http://json-schema.org/draft-07/schema#"
	root["title"] = "saltmark site settings"
	schema, err := json.MarshalIndent(root, "", " ")
	if err != nil {
		panic("the schema of the settings is made of texts alone: " + err.Error())
	}
	return append(schema, '\n')
}

// closed describes an object with these members and no others.
func closed(properties object, required ...string) object {
	o := object{"type": "object", "additionalProperties": false, "minProperties": 1, "properties": properties}
	if len(required) > 0 {
		o["required"] = required
	}
	return o
}

// into gives the members of a section, made where it is missing.
func into(properties object, section string) object {
	if s, ok := properties[section].(object); ok {
		return s["properties"].(object)
	}
	members := object{}
	properties[section] = closed(members)
	return members
}

// named describes a section of devices by name.
func named(properties object, section string) object {
	for i := range measure.All() {
		if name, ok := strings.CutPrefix(measure.All()[i].Setting, section+".{}."); ok {
			properties[name] = written
		}
	}
	return object{"type": "object", "additionalProperties": closed(properties)}
}

func limitSchema() object { return closed(object{"value": written, "source": text}, "value", "source") }

// supplySchema describes a value, or a list of values by age and sex.
func supplySchema() object {
	one := closed(object{"value": written, "source": text}, "value", "source")
	one["type"] = []string{"object", "array"}
	one["minItems"] = 1
	one["items"] = closed(object{"from": written, "sex": object{"type": "string", "enum": []string{"male", "female"}}, "value": written, "source": text}, "from", "value", "source")
	return one
}

func plausibleSchema() object {
	var rules []string
	seen := map[string]bool{}
	for _, r := range sheet.DefaultRanges() {
		if !seen[r.Rule] {
			seen[r.Rule] = true
			rules = append(rules, r.Rule)
		}
	}
	return closed(object{
		"rule": object{"type": "string", "enum": rules}, "of": written, "from": written,
		"low": written, "high": written, "source": text,
	}, "rule", "of", "source")
}

// loadMeasures are the measures that a limit of load may be set for.
func loadMeasures() []*measure.Measure {
	var list []*measure.Measure
	for i := range measure.All() {
		if m := &measure.All()[i]; m.Kind == measure.Quantity && (m.In == "measurement-load" || m.Key == "loop-share-of-flow") {
			list = append(list, m)
		}
	}
	return list
}
