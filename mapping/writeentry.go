package mapping

import (
	"github.com/samply/golang-fhir-models/fhir-models/fhir"

	"saltmark/internal/r4"
)

// How resources become entries or lines: under which id, with which request, and by
// what others refer to them.

// namingOf gives how resources are named under options that were completed.
func namingOf(o Options) naming {
	if row := rowOfForm(o.Form); !row.requests {
		return row.naming
	}
	return rowOfMode(o.Mode).naming
}

// id gives the id of a resource of the session, nil where the server gives it one.
func (w *writer) id(uuid string) *string {
	if !w.naming.ids {
		return nil
	}
	return &uuid
}

// sharedID is id for a device that sessions share.
func (w *writer) sharedID(uuid string) *string {
	if !w.naming.shared {
		return nil
	}
	return &uuid
}

// to refers to a resource of the session.
func (w *writer) to(kind, uuid string) fhir.Reference {
	if w.naming.literal {
		return r4.ReferenceLiteral(kind, uuid)
	}
	return r4.ReferenceURN(uuid)
}

// toShared refers to a device that sessions share. A transaction only creates it, so
// nobody knows its id.
func (w *writer) toShared(uuid string) fhir.Reference {
	if w.naming.shared && w.naming.literal {
		return r4.ReferenceLiteral("Device", uuid)
	}
	return r4.ReferenceURN(uuid)
}

// add adds a resource of the session, which the server finds by the business
// identifier or by the id that follows from it.
func (w *writer) add(identity string, resource any) {
	uuid := UUIDOf(w.options.Systems.Session, identity)
	w.addUnder(identity, uuid, w.to(typeOf(resource), uuid), resource)
}

// addUnder adds one that is known under a UUID, and referred to already.
func (w *writer) addUnder(identity, uuid string, to fhir.Reference, resource any) {
	w.entry(uuid, resource, w.mode.request(typeOf(resource), uuid, identifierQuery(w.options.Systems.Session, identity)))
	w.targets = append(w.targets, to)
}

// share adds a device that a server only creates, where it has none yet.
func (w *writer) share(identity string, resource fhir.Device) {
	uuid := UUIDOf(w.options.Systems.Device, identity)
	w.entry(uuid, resource, createOnce("Device", uuid, identifierQuery(w.options.Systems.Device, identity)))
	w.targets = append(w.targets, w.toShared(uuid))
}

// entry adds an entry; the request only where the form has them.
func (w *writer) entry(uuid string, resource any, request fhir.BundleEntryRequest) {
	e := r4.Entry{FullURL: r4.URN + uuid, Resource: resource}
	if w.form.requests {
		e.Request = &request
	}
	w.entries = append(w.entries, e)
}

// encode gives the entries as the form wants them.
func (w *writer) encode() ([]byte, error) {
	if w.form.lines {
		return r4.EncodeLines(w.entries)
	}
	bundle := fhir.Bundle{Type: w.form.kind}
	if !w.form.requests {
		bundle.Meta = w.meta // it may be stored as it is
	}
	if w.form.form == Document {
		w.completeDocument(&bundle)
	}
	return r4.EncodeBundle(bundle, w.entries)
}

func typeOf(resource any) string {
	switch resource.(type) {
	case fhir.Device:
		return "Device"
	case fhir.Procedure:
		return "Procedure"
	case fhir.DiagnosticReport:
		return "DiagnosticReport"
	case fhir.Provenance:
		return "Provenance"
	case fhir.Composition:
		return "Composition"
	}
	return "Observation"
}
