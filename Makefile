# Two commands set up a fresh machine: `make ci-deps` (Debian, as root) and `make test`.
# `make test` needs only Go and make; it installs nothing and says which optional peer is missing.

GO     ?= go
PYTHON ?= /usr/bin/python3

# Programs that some tests compare our results with. Absent ones are named and their checks are
# skipped; with CI=true an absent one is a failure.
DEBIAN_PEERS = python3-numpy python3-scipy python3-uncertainties python3-iapws python3-stdnum units strace \
  socat postgresql poppler-utils qpdf dmtx-utils libargon2-1 chromium glpk-utils coinor-cbc
PYTHON_PEERS = numpy scipy uncertainties iapws
PROGRAM_PEERS = units strace socat pdftotext qpdf dmtxread chromium glpsol cbc

FUZZTIME ?= 10s

# No C compiler is needed to build or test; only the race detector has to have one.
export CGO_ENABLED = 0

APT = DEBIAN_FRONTEND=noninteractive apt-get -q -y -o Acquire::Retries=3 -o DPkg::Lock::Timeout=120

.PHONY: all test short check peers vulns build fmt deadcode ci-deps bench fuzz race long screens

all: test

## test: format, vet, staticcheck, then every test
test: peers check
	$(GO) test -timeout 30m ./...

## short: what to run between two edits, within two minutes on two cores: no browser, no database
## server, no killed process and no peer program; each skipped test says so
short:
	$(GO) test -short ./...

## check: what is wrong without running anything
check:
	@bad=$$($(GO) tool gofumpt -l .) || exit 1; \
	  if [ -n "$$bad" ]; then echo "not formatted, run 'make fmt':"; echo "$$bad"; exit 1; fi
	$(GO) vet ./...
	$(GO) tool staticcheck ./...

## peers: name the optional peers that are missing; with CI=true a missing one is an error
peers:
	@missing=; \
	  for m in $(PYTHON_PEERS); do \
	    $(PYTHON) -c "import $$m" 2>/dev/null || missing="$$missing python:$$m"; \
	  done; \
	  for p in $(PROGRAM_PEERS); do \
	    command -v $$p >/dev/null 2>&1 || missing="$$missing $$p"; \
	  done; \
	  if [ -n "$$missing" ]; then \
	    echo "optional peers missing, their checks are skipped:$$missing"; \
	    echo "  on Debian, as root: make ci-deps   (installs $(DEBIAN_PEERS))"; \
	    if [ "$$CI" = true ]; then echo "CI=true requires them" >&2; exit 1; fi; \
	  fi

## vulns: known vulnerabilities in what the program calls; where their database cannot be had it says so
## and is no failure, since a machine without network has to be able to run the checks
vulns:
	@found=$$(timeout 300 $(GO) tool govulncheck ./... 2>&1); status=$$?; echo "$$found"; \
	  case $$status in \
	    0) ;; \
	    3) exit 1 ;; \
	    *) case "$$found" in \
	         *"fetching vulnerabilities"*|"") echo "vulnerability scan skipped: its database cannot be had from here" ;; \
	         *) exit $$status ;; \
	       esac ;; \
	  esac

## build: bin/vialwright, without symbol table and paths of this machine
build:
	$(GO) build -trimpath -ldflags='-s -w' -o bin/ ./cmd/vialwright

fmt:
	$(GO) tool gofumpt -w .

## deadcode: functions no main program and no test reaches; DEADCODE= leaves the tests out
DEADCODE ?= -test
deadcode:
	$(GO) tool deadcode $(DEADCODE) ./...

## ci-deps: install the peers (Debian, as root); nothing is done when all are there
ci-deps:
	@if dpkg-query -W -f '$${db:Status-Status}\n' $(DEBIAN_PEERS) 2>/dev/null | grep -c '^installed$$' | grep -qx $(words $(DEBIAN_PEERS)); then \
	  echo "peers are installed: $(DEBIAN_PEERS)"; \
	else \
	  if [ "$$(id -u)" != 0 ]; then echo "ci-deps needs root: run it with sudo" >&2; exit 1; fi; \
	  $(APT) update && $(APT) install --no-install-recommends $(DEBIAN_PEERS); \
	fi

bench:
	$(GO) run ./bench

## fuzz: every fuzz target for FUZZTIME (10s unless set)
fuzz:
	@set -e; for pkg in $$($(GO) list ./...); do \
	  for target in $$($(GO) test -list '^Fuzz' $$pkg | grep '^Fuzz' || true); do \
	    echo "$$pkg $$target"; \
	    $(GO) test -run '^$$' -fuzz "^$$target\$$" -fuzztime $(FUZZTIME) $$pkg; \
	  done; \
	done

## race: every test under the race detector, which needs a C compiler
race:
	CGO_ENABLED=1 $(GO) test -race -timeout 30m ./...

## screens: photograph every step in every state, every finding on its bench and the pages beside it, at a desk's and a
## phone's size, onto the contact sheets out/screens/index.html; renews the pictures of docs/screens
SCREENS = $(CURDIR)/out/screens
screens:
	rm -rf $(SCREENS) && mkdir -p $(SCREENS)
	VIALWRIGHT_LOOK=$(SCREENS) VIALWRIGHT_SCREENS=1 $(GO) test -count=1 -timeout 40m ./web/browsertest -run 'Screen|Findings|Pages|TestReadingWhileItSettles|TestOrders|TestPlannedMorning'

## long: the suites that take minutes, 1,000 kills of the program and 200 with databases among them
long:
	VIALWRIGHT_LONG=1 $(GO) test -timeout 240m ./...
