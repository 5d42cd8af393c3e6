# Short names for the daily work. .ci/run is where each is defined; `make ci` is
# what a change must pass.
.PHONY: build test race fuzz bench conformance examples measure generate lint ci

build:
	go build -trimpath -o bin/saltmark ./cmd/saltmark

test:
	go test ./...

generate:
	go generate ./...

lint:
	.ci/run format vet static

race fuzz bench:
	.ci/run $@

# Skipped where Java or Maven is missing; .ci/run installs them.
conformance:
	testdata/judges/reference/run

# The official examples of FHIR R4. Skipped where npm is missing; .ci/run installs it.
examples:
	testdata/examples/run

# What the program costs, with its limits: cold start, peak memory, and CPU beside
# encoding/json and the whole official schema. Takes some minutes; wants a quiet
# machine.
measure:
	go test -tags measure -count=1 -timeout 30m -run Measure -v ./cmd/saltmark
	go test -run '^$$' -bench 'DecodeBaseline|ChartWithAudit|SchemaLayer' -benchtime 3s -count 3 ./internal/chart
	go test -run '^$$' -bench 'SchemaCut$$|OfficialWhole' -benchtime 3s -count 3 ./internal/schema

ci:
	.ci/run
