package site

import (
	"encoding/json"
	"maps"
	"slices"
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
	// identifier and day are those of a sheet.
	identifier = object{"type": []string{"string", "number"}, "pattern": `^\S{1,64}$`}
	day        = object{"type": "string", "pattern": `^\d{4}-\d{2}-\d{2}(T\d{2}:\d{2}:\d{2}(Z|[+-]\d{2}:\d{2}))?$`, "description": "a date is wanted, alone or with time and offset"}
	address    = object{"type": "string", "pattern": `^[a-z][a-z0-9+.-]*:[!-~]*[!-.0-~]$`, "description": "an absolute address without a slash at the end is wanted"}
)

// Schema gives the JSON Schema (draft-07) of the settings, made of the table of
// measures.
func Schema() []byte { return schemaOf(Version) }

// schemaOf gives that of a version, each of which is read by its own.
func schemaOf(version int) []byte {
	properties := object{
		"saltmark-site":            object{"type": "integer", "enum": []int{version}},
		"name":                     text,
		"base":                     address,
		"systems":                  systemsSchema(version),
		"write":                    writeSchema(version),
		"verifier-may-be-operator": yesNo,
		"monitors":                 named(monitorSchema(version), "monitors"),
		"loops":                    named(object{"model": text}, "loops"),
		"plausible":                object{"type": "array", "items": plausibleSchema()},
	}
	required := []string{"saltmark-site", "name", "systems"}
	if version == 1 {
		properties["test-data"] = yesNo
	} else {
		required = append(required, "environment")
		properties["environment"] = word(slices.Sorted(maps.Values(environments)))
		properties["approved"] = closed(object{
			"by": identifier, "at": day,
			"sha256": object{"type": "string", "pattern": "^[0-9a-f]{64}$", "description": "64 hexadecimal digits in small letters are wanted"},
		}, "by", "at", "sha256")
		properties["language"] = word(measure.Languages())
		properties["people"] = peopleSchema()
		properties["codings"] = codingsSchema()
	}
	for i := range measure.All() {
		m := &measure.All()[i]
		if version == 1 && isLater(m) {
			continue
		}
		if section, name, ok := strings.Cut(m.Setting, "."); ok && !strings.Contains(m.Setting, "{}") {
			into(properties, section)[name] = supplySchema()
		}
	}
	limits := object{}
	for _, m := range loadMeasures() {
		limits[m.Key] = limitSchema()
	}
	into(properties, "load")["limits"] = closed(limits)
	root := closed(properties, required...)
	root["$schema"] = "http://json-schema.org/draft-07/schema#"
	root["title"] = "saltmark site settings"
	schema, err := json.MarshalIndent(root, "", " ")
	if err != nil {
		panic("the schema of the settings is made of texts alone: " + err.Error())
	}
	return append(schema, '\n')
}

// isLater tells whether the settings have a measure since version 2 only.
func isLater(m *measure.Measure) bool {
	return defaults[m.Key] != "" || m.Where != "" || m.Key == "national-profiles"
}

// systemsSchema describes the systems of identifiers: an address, or for identifiers
// that the hospital gives out an address with what they look like.
func systemsSchema(version int) object {
	described := closed(object{
		"system": address, "pattern": object{"type": "string", "minLength": 1, "maxLength": 200},
		"check-digit": word(schemeNames()),
		"weights":     object{"type": "array", "minItems": 1, "maxItems": 63, "items": object{"type": "integer", "minimum": 1, "maximum": 10}},
	}, "system")
	described["type"] = []string{"string", "object"}
	described["pattern"] = address["pattern"]
	described["description"] = address["description"]
	properties := object{}
	for _, s := range (&Settings{}).systems() {
		properties[s.name] = address
		if s.described && version > 1 {
			properties[s.name] = described
		}
	}
	return closed(properties)
}

// monitorSchema describes a monitor beside its values: what it is, or where the record
// holds it.
func monitorSchema(version int) object {
	properties := object{"model": text, "serial": text}
	if version > 1 {
		properties["reference"] = object{"type": "string", "pattern": `^Device/[A-Za-z0-9.-]{1,64}$`, "description": "Device/ and an id are wanted"}
		properties["identifier"] = closed(object{"system": address, "value": identifier}, "system", "value")
	}
	return properties
}

// writeSchema describes how bundles are written. Which forms and modes there are the
// room that writes them says.
func writeSchema(version int) object {
	properties := object{"injections": word([]string{"separate", "none"}), "comparators": yesNo}
	if version > 1 {
		for _, name := range []string{"form", "mode", "subject", "encounter"} {
			properties[name] = written
		}
		properties["snomed"] = yesNo
	}
	return closed(properties)
}

// peopleSchema describes persons by identifier.
func peopleSchema() object {
	person := closed(object{
		"may": object{"type": "array", "minItems": 1, "uniqueItems": true, "items": word(rights)}, "from": day, "until": day,
	}, "may")
	return object{"type": "object", "minProperties": 1, "additionalProperties": person}
}

func word[T ~string](words []T) object { return object{"type": "string", "enum": words} }

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
		properties["snomed"] = yesNo
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
