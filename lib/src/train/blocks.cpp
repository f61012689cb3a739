#include "train/blocks.hpp"

#include <algorithm>
#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/biconnected_components.hpp>
#include <map>
#include <utility>

namespace lashband::train::kernel {

Blocks blocks_of(std::size_t shafts, const std::vector<Mesh>& meshes) {
  using Graph = boost::adjacency_list<boost::vecS, boost::vecS, boost::undirectedS,
                                      boost::no_property, std::size_t>;
  // Meshes between the same two shafts are one edge: the search of Boost.Graph passes over the
  // second edge back to the vertex it came from.
  std::map<std::pair<std::size_t, std::size_t>, std::size_t> edge_between;
  std::vector<std::size_t> edge_of_mesh;
  edge_of_mesh.reserve(meshes.size());
  Graph graph(shafts);
  for (const Mesh& mesh : meshes) {
    const auto ends = std::minmax(mesh.shaft_1, mesh.shaft_2);
    const auto [place, is_new] = edge_between.try_emplace(ends, edge_between.size());
    if (is_new) {
      boost::add_edge(ends.first, ends.second, place->second, graph);
    }
    edge_of_mesh.push_back(place->second);
  }

  std::vector<std::size_t> block_of_edge(edge_between.size(), 0);
  const auto edge_index = boost::get(boost::edge_bundle, graph);
  Blocks blocks;
  blocks.count = boost::biconnected_components(
      graph, boost::make_iterator_property_map(block_of_edge.begin(), edge_index));
  blocks.of_mesh.reserve(meshes.size());
  for (const std::size_t edge : edge_of_mesh) {
    blocks.of_mesh.push_back(block_of_edge[edge]);
  }
  return blocks;
}

}  // namespace lashband::train::kernel
