#!/usr/bin/env bash
# Times fairburn judge against the R script on the same trial, whole processes,
# one after the other, five times each. Needs Go, and R with boot and survival
# (Debian: r-base-core r-cran-boot r-cran-survival).
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$here/../.."
go run ./scripts/speed "$work"
CGO_ENABLED=0 go build -o "$work/fairburn" ./cmd/fairburn
cat /proc/loadavg
for i in 1 2 3 4 5; do
  for what in fairburn R; do
    start=$(date +%s%N)
    if [ "$what" = R ]; then
      Rscript "$here/judge.R" "$work/burns.csv" >/dev/null
    else
      "$work/fairburn" judge "$work/burns.toml" >/dev/null || [ $? = 3 ]
    fi
    echo "$what $((($(date +%s%N) - start) / 1000000)) ms"
  done
done
