//! Which edges lie on a way from one node to another that passes no node twice.
//!
//! Only those can carry current between the two. They are the edges of one block (biconnected
//! component) once the two nodes are joined by an edge of their own: Hopcroft and Tarjan 1973,
//! Algorithm 447, here without recursion.

/// For each edge, whether it lies on a simple path between `from` and `to`.
///
/// Edges may be parallel; an edge from a node to itself lies on none. Where `from` and `to`
/// are one node or have no path between them no edge is marked. Cost: linear.
pub fn edges_on_paths(
    node_count: usize,
    edges: &[(usize, usize)],
    from: usize,
    to: usize,
) -> Vec<bool> {
    let mut marked = vec![false; edges.len()];
    if from == to {
        return marked;
    }
    let bridge = edges.len();
    let ends = |edge: usize| if edge == bridge { (from, to) } else { edges[edge] };
    // Edges by node, all in one list: those of a node begin at `start[node]`.
    let all = || std::iter::once(bridge).chain(0..edges.len());
    let mut start = vec![0; node_count + 1];
    for (a, b) in all().map(ends).filter(|(a, b)| a != b) {
        start[a + 1] += 1;
        start[b + 1] += 1;
    }
    for node in 0..node_count {
        start[node + 1] += start[node];
    }
    let mut filled = start.clone();
    let mut around = vec![0; start[node_count]];
    for edge in all() {
        let (a, b) = ends(edge);
        if a != b {
            for node in [a, b] {
                around[filled[node]] = edge;
                filled[node] += 1;
            }
        }
    }
    let mut search = Search {
        order: vec![usize::MAX; node_count],
        low: vec![usize::MAX; node_count],
        used: vec![false; edges.len() + 1],
        edge_stack: Vec::new(),
    };
    let mut clock = 0;
    search.discover(from, &mut clock);
    // Node, the edge it was reached by, and how many of its edges have been looked at.
    let mut frames: Vec<(usize, usize, usize)> = vec![(from, usize::MAX, 0)];
    while let Some(frame) = frames.last_mut() {
        let (node, by, looked) = *frame;
        if let Some(edge) = around[start[node]..start[node + 1]].get(looked).copied() {
            frame.2 += 1;
            if std::mem::replace(&mut search.used[edge], true) {
                continue;
            }
            let (a, b) = ends(edge);
            let next = if a == node { b } else { a };
            search.edge_stack.push(edge);
            if search.order[next] == usize::MAX {
                search.discover(next, &mut clock);
                frames.push((next, edge, 0));
            } else {
                search.low[node] = search.low[node].min(search.order[next]);
            }
            continue;
        }
        frames.pop();
        let Some((parent, ..)) = frames.last().copied() else { break };
        search.low[parent] = search.low[parent].min(search.low[node]);
        if search.low[node] >= search.order[parent] {
            let start =
                search.edge_stack.iter().rposition(|e| *e == by).expect("pushed when it was taken");
            let block = search.edge_stack.split_off(start);
            if block.contains(&bridge) {
                block.into_iter().filter(|e| *e != bridge).for_each(|e| marked[e] = true);
                break;
            }
        }
    }
    marked
}

struct Search {
    order: Vec<usize>,
    low: Vec<usize>,
    used: Vec<bool>,
    edge_stack: Vec<usize>,
}

impl Search {
    fn discover(&mut self, node: usize, clock: &mut usize) {
        self.order[node] = *clock;
        self.low[node] = *clock;
        *clock += 1;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(edges: &[(usize, usize)], from: usize, to: usize, want: &[usize]) {
        let got = edges_on_paths(8, edges, from, to);
        let got: Vec<usize> = (0..edges.len()).filter(|e| got[*e]).collect();
        assert_eq!(got, want, "{edges:?} from {from} to {to}");
    }

    #[test]
    fn only_edges_on_a_way_through_are_marked() {
        check(&[(0, 1), (1, 2)], 0, 2, &[0, 1]);
        // A dangling edge, a loop that hangs on one node, a self loop, a piece apart.
        check(&[(0, 1), (1, 2)], 0, 1, &[0]);
        check(&[(0, 1), (1, 2), (2, 3), (3, 1)], 0, 1, &[0]);
        check(&[(0, 0), (0, 1)], 0, 1, &[1]);
        check(&[(0, 1), (2, 3)], 0, 1, &[0]);
        // Parallel edges and a bridge circuit.
        check(&[(0, 1), (0, 1)], 0, 1, &[0, 1]);
        check(&[(0, 1), (0, 2), (1, 2), (1, 3), (2, 3)], 0, 3, &[0, 1, 2, 3, 4]);
        // No way, and no distance.
        check(&[(0, 1), (2, 3)], 0, 3, &[]);
        check(&[(0, 1)], 0, 0, &[]);
    }

    #[test]
    fn agrees_with_listing_all_simple_paths() {
        let mut seed = 7u64;
        let mut random = move |n: usize| {
            seed = seed.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            (seed >> 33) as usize % n
        };
        for _ in 0..300 {
            let edges: Vec<(usize, usize)> = (0..9).map(|_| (random(6), random(6))).collect();
            let mut want = vec![false; edges.len()];
            walk(&edges, 0, 1, &mut vec![0], &mut Vec::new(), &mut want);
            assert_eq!(edges_on_paths(6, &edges, 0, 1), want, "{edges:?}");
        }
    }

    fn walk(
        edges: &[(usize, usize)],
        at: usize,
        to: usize,
        nodes: &mut Vec<usize>,
        path: &mut Vec<usize>,
        want: &mut [bool],
    ) {
        if at == to {
            path.iter().for_each(|e| want[*e] = true);
            return;
        }
        for (idx, (a, b)) in edges.iter().copied().enumerate() {
            let next = if a == at {
                b
            } else if b == at {
                a
            } else {
                continue;
            };
            if nodes.contains(&next) {
                continue;
            }
            nodes.push(next);
            path.push(idx);
            walk(edges, next, to, nodes, path, want);
            nodes.pop();
            path.pop();
        }
    }
}
