# driftdrill: the commands that people type. What each needs from the system
# it installs by itself (.ci/install).

GO ?= go
# A checkout that belongs to another user must still build.
export GOFLAGS := $(GOFLAGS) -buildvcs=false
# A Go that is older than go.mod asks for, but 1.21 or newer, fetches that one.
export GOTOOLCHAIN := $(or $(GOTOOLCHAIN),auto)

# The packages of which the program uses all; the others are libraries with
# more to them, of which tests and examples use the rest.
LIVE = ^driftdrill/(audio|audio/out|audio/speech|scoring/logbook|scoring/report|cmd/driftdrill|cmd/driftdrill/(outfile|trainer|deskwire|display|desk|desk/(port|screen|flying|debrief|start|welcome|passes|drills|logbook|settings|kit|kit/keys)))$$

.PHONY: play build browser test checks tests fuzz-briefly builds arm64 e2e robots bench bench-compare verify fuzz pictures release release-tests clean help

help: ## this list
	@grep -E '^[a-z0-9-]+:.*## ' $(MAKEFILE_LIST) | sed 's/:.*## /\t/' | expand -t 12

play: ## build, and open the window; without a display, rehearse the first drill
	@.ci/play

build: ## ./driftdrill
	@.ci/install build
	$(GO) build -o driftdrill ./cmd/driftdrill

browser: ## ./driftdrill with the desk for browsers in it, for a club night (a minute at first)
	@.ci/install build
	@.ci/browser
	$(GO) build -o driftdrill ./cmd/driftdrill

test: checks tests fuzz-briefly builds arm64 e2e ## everything that must hold before a change goes in

checks: ## gofmt, vet, staticcheck, tidy, dead code, known vulnerabilities where their list can be had
	@.ci/install test
	@unformatted=$$(gofmt -l .); test -z "$$unformatted" || { echo "gofmt these:" $$unformatted; exit 1; }
	$(GO) vet ./...
	$(GO) vet -tags e2e ./cmd/driftdrill/...
	CGO_ENABLED=0 $(GO) vet -tags nodesk ./...
	$(GO) tool staticcheck ./...
	$(GO) mod tidy -diff
	@dead=$$($(GO) tool deadcode -test ./... && $(GO) tool deadcode -filter '$(LIVE)' ./...); test -z "$$dead" || { echo "nothing uses these:"; echo "$$dead"; exit 1; }
	@.ci/vulnerable

# make checks has vetted everything; nobody debugs a test's binary.
TESTS = $(GO) test -vet=off -ldflags=-w

tests: ## all tests, with the race detector, in random order, on a display of their own
	@.ci/install test
	.ci/with-display $(TESTS) -race -shuffle=on -timeout 20m ./...
	.ci/with-display $(TESTS) -timeout 20m ./sim ./scoring/... ./cmd/driftdrill/desk/... ./cmd/driftdrill/deskwire ./cmd/driftdrill/trainer # what flies many runs or draws many pictures does less of it under the race detector
	.ci/with-display $(TESTS) -run 'Recording|RadiosLeftWrong|LoudspeakerComesBack|LongOwnVoice|AnEvening' ./cmd/driftdrill ./audio ./cmd/driftdrill/club # likewise what one goroutine measures
	.ci/with-display $(TESTS) -run '^$$' -bench . -benchtime 1x $$(grep -rl --include=*_test.go '^func Benchmark' . | xargs -n1 dirname | sort -u) >/dev/null # each benchmark once: it still runs

builds: ## every system that the program is built for
	CGO_ENABLED=0 $(GO) build -tags nodesk -o /dev/null ./cmd/driftdrill
	GOOS=windows GOARCH=amd64 CGO_ENABLED=0 $(GO) build -o /dev/null ./cmd/driftdrill
	GOOS=windows GOARCH=amd64 CGO_ENABLED=0 $(GO) vet ./...
	GOOS=js GOARCH=wasm $(GO) build -o /dev/null ./cmd/driftdrill/browser
	GOOS=js GOARCH=wasm $(GO) vet ./cmd/driftdrill/browser/... ./cmd/driftdrill/club/member ./audio/out
	GOOS=darwin GOARCH=arm64 CGO_ENABLED=0 $(GO) build -tags nodesk -o /dev/null ./cmd/driftdrill
	GOOS=darwin GOARCH=arm64 CGO_ENABLED=0 $(GO) vet ./audio/out

arm64: ## golden runs on the other processor, emulated: the same to the bit
	@.ci/install test
	GOARCH=arm64 CGO_ENABLED=0 $(GO) test -tags nodesk -exec qemu-aarch64 -run '^TestGoldenHashes$$' ./sim

e2e: ## a real window, a real mouse wheel, real sound, recorded and measured
	@.ci/install test
	@.ci/e2e

robots: ## of those: four drills by ears and wheel alone, at two levels of skill
	@.ci/install test
	$(GO) test -tags e2e -count=1 -timeout 20m -v -run '^TestRobots' ./cmd/driftdrill/

bench: ## all benchmarks, one thread; then beside other programs, as far as they are there
	@.ci/install test
	.ci/with-display $(GO) test -run '^$$' -bench . -benchmem -cpu 1 ./...
	$(GO) test -tags e2e -count=1 -v -run '^TestMeasureDesk' ./cmd/driftdrill/ -measure
	@for peers in */peers/run.sh; do echo "== $$peers"; sh "$$peers" || test $$? = 3; done

bench-compare: ## the benchmarks of two versions side by side (OLD, NEW: files; see testdata/benchmarks)
	@$(GO) tool -modfile=.ci/benchmarks/tools.mod benchstat $(or $(OLD),testdata/benchmarks/0.1.0.txt) $(or $(NEW),testdata/benchmarks/unreleased.txt)

verify: ## results against independent programs, live
	@.ci/verify

fuzz-briefly: # every fuzz target for six seconds
	@FUZZTIME=6s FUZZSIDE=4 .ci/fuzz

fuzz: ## every parser's fuzz target, FUZZTIME (60s; before a release 1h) each, and hostile files of 64 MiB
	@.ci/fuzz
	CGO_ENABLED=0 $${GO:-go} test -tags nodesk -run KillAHundredTimes -kills 100 ./scoring/logbook
	$(GO) test -count=1 -timeout 60m -v -run '^TestHostileFiles$$' ./cmd/driftdrill/ -hostile 67108863

pictures: ## the pictures in assets/pictures, from the real program
	@.ci/install test
	$(GO) test -tags e2e -count=1 -v -run '^TestPictures' ./cmd/driftdrill/ -pictures
	@shots=$$(mktemp -d) && $(GO) test -count=1 -run '^(TestAnEveningInABrowser|TestFlyingOnATelephone)$$' ./cmd/driftdrill/club -shots "$$shots" && \
		for f in wall-flying wall-results-1 member phone; do cp "$$shots/$$f.png" assets/pictures/; done; rm -rf "$$shots"

release: ## everything that people install, into dist/ (Debian 12 on amd64): make release VERSION=x.y.z
	@.ci/release/make $(VERSION)

release-tests: ## dist/ as it is installed: in a bare Debian, on arm64, on Windows; then built again and compared
	@.ci/release/test
	@TARGETS="$(TARGETS)" .ci/release/test-same-bytes

clean: ## what these commands leave in the tree
	rm -rf driftdrill driftdrill.exe rehearsal dist cmd/driftdrill/club/desk/desk.wasm.gz cmd/driftdrill/club/desk/wasm_exec.js
