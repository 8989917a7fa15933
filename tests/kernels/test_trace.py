"""Contacts in order of time: the hand-worked case, every world counted a second way, draws against counts."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from barkslip.kernels import trace as kernel

#: A shoot passes from tree 1 to wood, from wood to tree 2; a knife cuts tree 4, then tree 2, then tree 3.
T1, W, T2, K, T3, T4 = range(6)
HAND = ((T1, W, 0.9, 1), (W, T2, 0.8, 2), (K, T4, 0.5, 2), (T2, K, 0.3, 3), (K, T3, 0.5, 3), (W, T3, 0.8, 4))
#: Worked by hand with the case: W = .9, T2 = .9 x .8, K = .72 x .3, T4 = 0 (the knife was not soiled yet),
#: T3 = .9 [1 - .2 (1 - .8 x .3 x .5)] = .7416. Taking the two ways to T3 as independent would give .7502.
HAND_CHANCES = {T1: 1.0, W: 0.9, T2: 0.72, K: 0.216, T3: 0.7416, T4: 0.0}


def arrays(rows, origin):
    """Source, target, coin of rows (source, target, chance, day), with the suspicion first."""
    source = np.array([kernel.SEED, *(r[0] for r in rows)], np.int32)
    target = np.array([origin, *(r[1] for r in rows)], np.int32)
    coin = np.array([-1, *range(len(rows))], np.int32)
    return source, target, coin, np.array([float(r[2]) for r in rows])


def words(chance):
    return np.round(np.asarray(chance) * 2.0**kernel.PLACES).astype(np.uint64)


def drawn(source, target, coin, chance, nodes, worlds, seed=5, parts=1):
    last = -(-worlds // kernel.LANES)
    cuts = [last * i // parts for i in range(parts + 1)]
    found = [
        kernel.spread(source, target, coin, words(chance), nodes, seed, a, b, worlds)
        for a, b in itertools.pairwise(cuts)
    ]
    return sum(f[0] for f in found), sum(f[1] for f in found)


def counted_again(source, target, coin, chance, nodes):
    """Chances by going through all throws of the coins, written a second time with sets."""
    ever, after = np.zeros(nodes), np.zeros(nodes)
    for throw in itertools.product((False, True), repeat=len(chance)):
        weight = np.prod([p if won else 1.0 - p for p, won in zip(chance, throw, strict=True)])
        carried, seen = set(), set()
        for u, v, c in zip(source.tolist(), target.tolist(), coin.tolist(), strict=True):
            if c >= 0 and not throw[c]:
                continue
            if u == kernel.CLEAN:
                carried.discard(v)
            elif u == kernel.SEED or u in carried:
                carried.add(v)
                seen.add(v)
        ever[list(seen)] += weight
        after[list(carried)] += weight
    return ever, after


def random_case(rng, *, nodes=7, contacts=18, coins=9):
    """Contacts among a few nodes; some coins are shared, some certain; a node is cleaned now and then."""
    source = rng.integers(0, nodes, contacts).astype(np.int32)
    target = ((source + rng.integers(1, nodes, contacts)) % nodes).astype(np.int32)
    source[rng.random(contacts) < 0.15] = kernel.CLEAN
    coin = rng.integers(-1, coins, contacts).astype(np.int32)
    chance = rng.choice([0.0, 0.1, 0.3, 0.5, 0.8, 0.97, 1.0], coins)
    source[0], target[0], coin[0] = kernel.SEED, 0, -1
    return source, target, coin, chance, nodes


def test_hand_case_counted():
    source, target, coin, chance = arrays(HAND, T1)
    ever, after = kernel.every_world(source, target, coin, chance, 6, len(HAND))
    for node, expected in HAND_CHANCES.items():
        assert ever[node] == pytest.approx(expected, abs=1e-12)
    assert after == pytest.approx(ever)  # nothing is cleaned in it


def test_two_ways_that_share_a_contact_are_not_independent():
    ways = 0.9 * 0.8, 0.9 * 0.8 * 0.3 * 0.5
    naive = 1.0 - (1.0 - ways[0]) * (1.0 - ways[1])
    assert round(naive, 4) == 0.7502
    source, target, coin, chance = arrays(HAND, T1)
    assert round(kernel.every_world(source, target, coin, chance, 6, len(HAND))[0][T3], 4) == 0.7416


def test_hand_case_drawn():
    source, target, coin, chance = arrays(HAND, T1)
    worlds = 200_000
    ever, _ = drawn(source, target, coin, chance, 6, worlds)
    for node, p in HAND_CHANCES.items():
        assert ever[node] / worlds == pytest.approx(p, abs=4.0 * (p * (1 - p) / worlds) ** 0.5 + 1e-12)


@pytest.mark.parametrize("seed", range(12))
def test_counts_agree_with_a_second_way_of_counting(seed):
    case = random_case(np.random.default_rng(seed))
    ever, after = kernel.every_world(*case, len(case[3]))
    again = counted_again(*case)
    assert ever == pytest.approx(again[0], abs=1e-12)
    assert after == pytest.approx(again[1], abs=1e-12)


@pytest.mark.parametrize("seed", range(12))
def test_draws_agree_with_counts(seed):
    case = random_case(np.random.default_rng(seed))
    worlds = 40_000
    expected = kernel.every_world(*case, len(case[3]))
    found = drawn(*case, worlds)
    for p, n in zip(np.concatenate(expected), np.concatenate(found), strict=True):
        assert n / worlds == pytest.approx(p, abs=4.5 * (max(p * (1 - p), 0.0) / worlds) ** 0.5 + 1e-9)


@pytest.mark.parametrize("p", [0.0, 2.0**-32, 0.001, 0.25, 1 / 3, 0.5, 0.999, 1.0])
def test_a_coin_falls_as_often_as_it_should(p):
    worlds = 640_000
    source, target = np.array([kernel.SEED, 0], np.int32), np.array([0, 1], np.int32)
    ever, _ = drawn(source, target, np.array([-1, 0], np.int32), [p], 2, worlds)
    assert ever[0] == worlds
    assert ever[1] / worlds == pytest.approx(p, abs=4.5 * (p * (1 - p) / worlds) ** 0.5 + 1e-9)


def test_a_shared_coin_falls_alike_wherever_it_is_asked():
    source = np.array([kernel.SEED, 0, 0], np.int32)
    target = np.array([0, 1, 2], np.int32)
    back = np.array([kernel.SEED, 0, 0, 1], np.int32), np.array([0, 1, 2, 3], np.int32)
    ever, _ = drawn(source, target, np.array([-1, 0, 0], np.int32), [0.4], 3, 10_000)
    assert ever[1] == ever[2]
    # reached by the same coin twice in a row: as likely as once
    ever, _ = drawn(*back, np.array([-1, 0, 0, 0], np.int32), [0.4], 4, 10_000)
    assert ever[3] == ever[1]


def test_coins_of_one_seed_are_independent_of_each_other_and_another_seed_differs():
    source = np.array([kernel.SEED, 0, 1], np.int32)
    target = np.array([0, 1, 2], np.int32)
    coin = np.array([-1, 0, 1], np.int32)
    both = drawn(source, target, coin, [0.5, 0.5], 3, 160_000)[0][2]
    assert both / 160_000 == pytest.approx(0.25, abs=0.005)
    assert drawn(source, target, coin, [0.5, 0.5], 3, 160_000, seed=6)[0][2] != both


def test_a_greater_chance_never_wins_in_fewer_worlds():
    source = np.array([kernel.SEED, 0], np.int32)
    coin = np.array([-1, 0], np.int32)
    won = [drawn(source, np.array([0, 1], np.int32), coin, [p], 2, 5000)[0][1] for p in np.linspace(0, 1, 41)]
    assert won == sorted(won)
    assert (won[0], won[-1]) == (0, 5000)


@pytest.mark.parametrize("worlds", [1, 63, 64, 65, 1000])
def test_any_number_of_worlds_in_any_number_of_parts(worlds):
    case = random_case(np.random.default_rng(3))
    whole = drawn(*case, worlds)
    assert whole[0][0] == worlds
    assert all((0 <= n <= worlds) for n in np.concatenate(whole))
    parted = drawn(*case, worlds, parts=min(3, -(-worlds // 64)))
    assert np.array_equal(np.stack(whole), np.stack(parted))


@pytest.mark.parametrize("seed", range(8))
def test_there_in_a_mirror_is_back(seed):
    """In every world: 0 reaches node i if, with time and contacts turned round, i is found from 0's end."""
    source, target, coin, chance, nodes = random_case(np.random.default_rng(seed))
    goal = 4
    ahead = drawn(source, target, coin, chance, nodes, 6400)[1]
    turned = (
        np.where(source[1:] >= 0, target[1:], source[1:])[::-1],
        np.where(source[1:] >= 0, source[1:], target[1:])[::-1],
    )
    back = (
        np.concatenate([[kernel.SEED], turned[0]]).astype(np.int32),
        np.concatenate([[goal], turned[1]]).astype(np.int32),
        np.concatenate([[-1], coin[1:][::-1]]).astype(np.int32),
    )
    # carried by the goal at the end, from 0 at the beginning = found at 0's beginning, from the goal's end
    assert drawn(*back, chance, nodes, 6400)[1][0] == ahead[goal]


@pytest.mark.parametrize("seed", range(8))
def test_earliest_is_the_first_day_of_any_way(seed):
    rng = np.random.default_rng(seed)
    source, target, _, _, nodes = random_case(rng, nodes=6, contacts=25)
    day = np.sort(rng.integers(0, 12, source.size)).astype(np.int64)
    open_ = rng.random(source.size) < 0.8
    open_[0] = True
    found, by = kernel.earliest(source, target, day, open_, nodes)
    carried, first = set(), {}
    for i in range(source.size):
        if open_[i] and source[i] == kernel.CLEAN:
            carried.discard(int(target[i]))
        elif open_[i] and (source[i] == kernel.SEED or int(source[i]) in carried):
            carried.add(int(target[i]))
            first.setdefault(int(target[i]), int(day[i]))
    for node in range(nodes):
        assert found[node] == first.get(node, kernel.NEVER)
        assert (by[node] >= 0) == (node in first)
        if by[node] > 0:
            assert target[by[node]] == node
            assert found[source[by[node]]] <= day[by[node]]


def test_plain_python_gives_the_same(monkeypatch):
    source, target, coin, chance, nodes = random_case(np.random.default_rng(2), coins=5)
    assert np.allclose(
        np.stack(kernel.every_world.py_func(source, target, coin, chance, nodes, 5)),
        np.stack(kernel.every_world(source, target, coin, chance, nodes, 5)),
    )
    jitted = np.stack(drawn(source, target, coin, chance, nodes, 128))
    for name in ("_mixed", "_coin", "_ones"):
        monkeypatch.setattr(kernel, name, getattr(kernel, name).py_func)
    with np.errstate(over="ignore"):
        plain = kernel.spread.py_func(source, target, coin, words(chance), nodes, 5, 0, 2, 128)
    assert np.array_equal(np.stack(plain), jitted)
    day = np.arange(source.size, dtype=np.int64)
    open_ = np.ones(source.size, np.bool_)
    plain = kernel.earliest.py_func(source, target, day, open_, nodes)
    assert np.array_equal(plain[0], kernel.earliest(source, target, day, open_, nodes)[0])
