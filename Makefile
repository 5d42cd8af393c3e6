# Short names for the daily work. .ci/run is where each is defined; `make ci` is
# what a change must pass.
.PHONY: build test race fuzz bench conformance generate lint ci

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

ci:
	.ci/run
