// A double that loses its fraction: -Wconversion must stop the build.
int main(int argc, char**) {
  const double half = 0.5 * argc;
  const int lost = half;
  return lost;
}
