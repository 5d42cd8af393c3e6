# Short names for the daily work. .ci/run is where each is defined; `make ci` is
# what a change must pass.
.PHONY: build test race fuzz bench bench-judges conformance examples scipy measure generate lint ci man shells accuracy tune release release-twice cut

build:
	go build -trimpath -o bin/saltmark ./cmd/saltmark

test:
	go test ./...

# The manual pages, one for each command.
man:
	go run ./cmd/saltmark man --out dist/man

# Completion tried in real shells; all of them must be there (.ci/run installs them).
shells:
	SALTMARK_SHELLS=all go test -count=1 -run TestShell ./cmd/saltmark

generate:
	go generate ./...

lint:
	.ci/run format vet static

race fuzz:
	.ci/run $@

# Outside judges of what we write and of what the audit says of others, and the page of
# what they found, internal/audit/EVIDENCE.md. A judge whose tool is missing is skipped;
# .ci/run installs all. Takes some minutes.
conformance:
	testdata/judges/run

# What the audit costs beside decoders and validators of others, on the same bytes.
bench-judges:
	testdata/judges/bench/run

# The official examples of FHIR R4. Skipped where npm is missing; .ci/run installs it.
examples:
	testdata/examples/run

# How near the estimator comes to the truth of simulated circulations, with n and an
# interval for each figure; appended to internal/accuracy/log.tsv. Takes ten minutes.
accuracy:
	go run ./internal/accuracy run

# The calibration of the estimator from nothing, by recorded seeds (see whole.go). Takes most of an hour.
tune:
	go run ./internal/accuracy/tune whole -folder build/tune -out internal/dilution/calibration.json

# Fits, integrals and transforms of the computation beside scipy's. Skipped where Python
# with scipy is missing; .ci/run installs it.
scipy:
	testdata/judges/scipy/run

# A release in dist/, of the tag at this commit or of VERSION.
release:
	go run ./internal/release build $(if $(VERSION),-version $(VERSION))

# The same release twice, in two folders and the second with an empty cache, compared;
# and the program alone in a root of its own, as in a container. Takes minutes.
release-twice:
	SALTMARK_RELEASE_TWICE=linux/amd64,windows/arm64 go test -count=1 -timeout 30m -run TestTwoReleases -v ./internal/release

# Keep the sheets, bundles and names of VERSION for good, before its tag is set.
cut:
	go run ./internal/release cut -version $(VERSION)

# What one injection costs from its recording to all results. What a sheet costs beside encoding/json on the same bytes, held to ratios; sheets a
# second on one core and on two; a cold process. Takes two minutes.
bench:
	go run ./internal/accuracy speed
	go test -tags measure -count=1 -run Measure -v ./internal/chart
	go test -tags measure -count=1 -run 'MeasureSheets|MeasureACold' -v ./cmd/saltmark

# All of that, and the peak of memory at 1,000 and 10,000 sheets, a gigabyte of lines and
# the hostile documents through the audit, and the schema layer
# beside the whole official schema. Takes some minutes; wants a quiet machine.
measure: bench
	go test -tags measure -count=1 -timeout 30m -run 'MeasurePeak|MeasureHostile|MeasureAudit' -v ./cmd/saltmark
	go test -run '^$$' -bench 'SchemaCut$$|OfficialWhole' -benchtime 3s -count 3 ./internal/schema

ci:
	.ci/run
