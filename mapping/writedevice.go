package mapping

import (
	"fmt"
	"slices"

	"github.com/samply/golang-fhir-models/fhir-models/fhir"

	"saltmark/internal/r4"
	"saltmark/mapping/record"
)

// Roles of devices.
const (
	monitorRole    = "monitor"
	loopRole       = "loop"
	disposableRole = "disposable"
	softwareRole   = "software"
)

// devices adds the devices that were used and the software that charts.
func (w *writer) devices() {
	for _, d := range w.session.Devices {
		ref := w.deviceUsed(d)
		if d.Role == monitorRole && w.monitor == nil {
			w.monitor = &ref
		}
		w.used = append(w.used, ref)
	}
	w.software = w.device(record.Device{Role: softwareRole, Key: w.options.Software.Name, Version: w.options.Software.Version})
}

// deviceUsed gives the reference to a device: to the record's own, which is not written
// here, or to the one that is added.
func (w *writer) deviceUsed(d record.Device) fhir.Reference {
	if d.Reference.IsZero() {
		return w.device(d)
	}
	ref := *w.reference("Device", d.Reference, w.options.Systems.Device, Logical)
	ref.Display = &d.Key
	return ref
}

// device adds a Device and gives the reference to it. A disposable part belongs to
// the session; the others are shared by sessions.
func (w *writer) device(d record.Device) fhir.Reference {
	own := d.Role == disposableRole
	system, identity := w.options.Systems.Device, sharedDevice(d)
	if own {
		system, identity = w.options.Systems.Session, ownDevice(w.session.ID, d)
	}
	uuid := UUIDOf(system, identity)
	if slices.ContainsFunc(w.entries, func(e r4.Entry) bool { return e.FullURL == r4.URN+uuid }) {
		w.fail(fmt.Errorf("two devices have the identity %s", identity))
	}
	words := wordsOfCodes()[devicePrefix+d.Role].In(w.options.Language)
	kind := r4.Concept(words, r4.Coding(w.coder.localSystem, devicePrefix+d.Role, ""))
	resource := fhir.Device{
		Meta: w.meta, Text: w.oneLine(words+": "+d.Key, words), Identifier: w.identifier(system, identity),
		ExpirationDate: w.time(d.Expiry), LotNumber: optional(d.Lot), SerialNumber: optional(d.Serial), Type: &kind,
	}
	for _, name := range []fhir.DeviceDeviceName{
		{Name: d.Key, Type: fhir.DeviceNameTypeUserFriendlyName},
		{Name: d.Model, Type: fhir.DeviceNameTypeModelName},
	} {
		if name.Name != "" {
			resource.DeviceName = append(resource.DeviceName, name)
		}
	}
	if d.Version != "" {
		resource.Version = []fhir.DeviceVersion{{Value: d.Version}}
	}
	if own {
		resource.Id = w.id(uuid)
		w.add(identity, resource)
		return w.to("Device", uuid)
	}
	resource.Id = w.sharedID(uuid)
	w.share(identity, resource)
	return w.toShared(uuid)
}

func optional(text string) *string {
	if text == "" {
		return nil
	}
	return &text
}
