#include <curbshed/base/quantity.hpp>
#include <curbshed/base/version.hpp>

#include <iostream>

int main() {
  const auto wall = curbshed::base::Length::inches(6.0);
  std::cout << curbshed::base::version() << ' ' << wall.in_millimetres() << '\n';
}
