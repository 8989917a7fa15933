"""The pooled take beside Hamiltonian draws of the same posterior: python benchmarks/take_nuts.py [gardens].

Offline only, and no test: it needs numpyro, which the program does not. In an environment of its own:

    uv venv /tmp/nuts && uv pip install --python /tmp/nuts/bin/python numpyro scipy
    PYTHONPATH=src:benchmarks /tmp/nuts/bin/python benchmarks/take_nuts.py 10

Gardens of 60 grafts by the law of `take_coverage`, the first of them seed 60087. The chains take both spreads as
half-normal numbers; ours has them on a grid of five. Prints the quantiles of take of both ways, and seconds.
"""

from __future__ import annotations

import sys
import time

import jax
import jax.numpy as jnp
import numpy as np
import numpyro
import numpyro.distributions as dist
from numpyro.infer import MCMC, NUTS

from barkslip.engines import hazard
from barkslip.engines.hazard_mode import Rows, softplus
from barkslip.engines.take_rows import coded, design, rules, take_rows, windows
from barkslip.knowledge.load import load
from take_coverage import TRUTHS, garden

AT = (0.05, 0.5, 0.95)
CHAINS, WARM_UP, KEPT = 2, 500, 4000


def model(rows: Rows, prior: hazard.Prior, mean: np.ndarray, sd: np.ndarray) -> None:
    """The same posterior, effects in units of their spreads."""
    common = numpyro.sample("common", dist.Normal(jnp.array(mean), jnp.array(sd)).to_event(1))
    few_sd = numpyro.sample("few_sd", dist.HalfNormal(prior.spread_sd))
    wide_sd = numpyro.sample("wide_sd", dist.HalfNormal(prior.spread_sd))
    few = numpyro.sample("few", dist.Normal(0.0, 1.0).expand([rows.n_few]).to_event(1))
    wide = numpyro.sample("wide", dist.Normal(0.0, 1.0).expand([rows.n_wide]).to_event(1))
    face = jnp.array(rows.design[:, rows.n_few + rows.n_wide :])
    eta = jnp.array(prior.base[rows.window]) + face @ common
    eta = eta + few_sd * few[rows.few] + wide_sd * wide[rows.wide]
    numpyro.factor("lives", (jnp.array(rows.died) * eta - jnp.array(rows.tried) * jax.nn.softplus(eta)).sum())


def takes(common: np.ndarray, prior: hazard.Prior) -> np.ndarray:
    """Take of the middle graft, draw by draw."""
    k = len(prior.split)
    return np.exp(-softplus(prior.base + common[:, :1] + common[:, 1 : 1 + k]).sum(axis=1))


def main() -> None:
    numpyro.set_host_device_count(1)
    rule = rules(load().value)
    apart = []
    print("seed     ours .05  .50  .95 (s)        NUTS .05  .50  .95 (s)        largest difference")
    for seed in [60087, *range(60000, 60000 + (int(sys.argv[1]) if len(sys.argv) > 1 else 10) - 1)]:
        grafts, _ = garden(TRUTHS[0], 60, seed)
        plan = design(grafts, [g.levels["method"] for g in grafts], "method", rule)
        tree, pair = (coded([g.levels[k] for g in grafts]) for k in ("tree", "pair"))
        rows = take_rows(windows(grafts), plan.x, tree, pair)
        began = time.perf_counter()
        found = hazard.fit(rows, rule.take, plan.beta, draws=20_000, seed=seed)
        ours_s = time.perf_counter() - began
        ours = hazard.quantiles(takes(found.common, rule.take), found.weight, AT)
        mean, precision = rule.take.common(plan.beta)
        began = time.perf_counter()
        chain = MCMC(
            NUTS(model), num_warmup=WARM_UP, num_samples=KEPT, num_chains=CHAINS, chain_method="sequential",
            progress_bar=False,
        )  # fmt: skip
        chain.run(jax.random.PRNGKey(seed), rows, rule.take, mean, precision**-0.5)
        drawn = takes(np.asarray(chain.get_samples()["common"]), rule.take)
        nuts = np.quantile(drawn, AT)
        nuts_s = time.perf_counter() - began
        apart.append(np.abs(nuts - ours))
        words = ["  ".join(f"{q:.3f}" for q in one) for one in (ours, nuts)]
        print(f"{seed}    {words[0]} ({ours_s:.2f})   {words[1]} ({nuts_s:.1f})   {apart[-1].max():.3f}", flush=True)
    print(
        "mean and largest difference at .05, .50, .95:", np.mean(apart, axis=0).round(4), np.max(apart, axis=0).round(4)
    )


if __name__ == "__main__":
    main()
